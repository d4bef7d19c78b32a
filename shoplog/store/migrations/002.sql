-- What a search compares stands in indexes, so that it need not visit the rows. The wood of a fact's piece and the
-- piece's diameter (metres) when it was stated are worked out by shoplog.store.context from the facts of the project;
-- `stale_project` lists the projects for which that is to be done again.
alter table fact add column wood text;
alter table fact add column size real;
drop index fact_kind;
drop index fact_item;
create index fact_find on fact(
    kind, item, status, recording_id, start, si_low, si_high, si_unit, operation, piece, cue_id, other_piece, verdict,
    wood, size);
create index fact_find_wood on fact(
    kind, wood, status, item, recording_id, start, si_low, si_high, si_unit, operation, piece, cue_id, other_piece, verdict,
    size);
create index fact_wood on fact(wood, recording_id);

create table stale_project (
    project_id integer primary key
);
create trigger fact_context_ai after insert on fact begin
    insert into stale_project select project_id from recording
        where id = new.recording_id and project_id not in (select project_id from stale_project);
end;
create trigger fact_context_ad after delete on fact begin
    insert into stale_project select project_id from recording
        where id = old.recording_id and project_id not in (select project_id from stale_project);
end;
create trigger fact_context_au
after update of kind, item, status, si_low, si_high, attrs, piece, other_piece, verdict on fact begin
    insert into stale_project select project_id from recording
        where id = new.recording_id and project_id not in (select project_id from stale_project);
end;
create trigger recording_context_au after update of project_id, same_as, started on recording begin
    insert into stale_project select id from project
        where id in (old.project_id, new.project_id) and id not in (select project_id from stale_project);
end;
create trigger recording_context_ad after delete on recording begin
    insert into stale_project select old.project_id
        where old.project_id not in (select project_id from stale_project);
end;
