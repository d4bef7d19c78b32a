-- What a search compares, in the indexes themselves, so that it need not visit the rows. Nothing here is stored twice
-- that could go out of date: a fact's wood and the piece's size are worked out from these while searching.
drop index fact_kind;
create index fact_find on fact(
    kind, item, status, recording_id, start, si_low, si_high, si_unit, operation, piece, cue_id, other_piece, verdict, confidence);
create index recording_find on recording(project_id, same_as, started, added_at, name);
