-- Answers are counted in the order of an index, so that nothing is sorted and no row visited: things and numbers by
-- operation in fact_find, speeds by the size of the piece in fact_speed. What was stated at a time or beside something
-- is found by its place in fact_place, what was planned or denied in fact_claim.
drop index fact_find;
create index fact_find on fact(
    kind, item, status, operation, si_unit, si_low, si_high, recording_id, start, piece, cue_id, other_piece, verdict,
    wood, size);
create index fact_speed on fact(
    status, size, si_unit, si_low, si_high, recording_id, start, kind, item, operation, piece, cue_id, other_piece,
    verdict, wood)
where kind = 'speed';
create index fact_place on fact(
    recording_id, kind, start, operation, item, status, si_unit, si_low, si_high, piece, cue_id, other_piece, verdict,
    wood, size);
create index fact_claim on fact(
    status, kind, item, operation, si_unit, si_low, si_high, recording_id, start, piece, cue_id, other_piece, verdict,
    wood, size)
where status != 'done';
create index recording_same on recording(same_as) where same_as is not null;
