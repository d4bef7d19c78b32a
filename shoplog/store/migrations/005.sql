-- The newest recordings are found without putting all in order. Speeds by size are counted with all else in one look
-- through fact_find, so that their own index goes. Facts beside others are looked up kind by kind, which keeps the
-- lookups close together: twice as quick as through fact_place.
create index recording_time on recording(coalesce(started, added_at), id) where same_as is null;
drop index fact_speed;
create index fact_beside on fact(
    kind, recording_id, start, operation, item, status, si_unit, si_low, si_high, other_piece, verdict);
