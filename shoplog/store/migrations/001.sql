-- Times within a recording are seconds from its start. Times of day are ISO 8601 text.

create table project (
    id integer primary key,
    name text not null unique collate nocase,
    created_at text not null
);

create table recording (
    id integer primary key,
    project_id integer not null references project(id),
    name text not null,
    kind text not null check (kind in ('media', 'captions')),
    state text not null check (state in ('waiting', 'hearing', 'done', 'failed')),
    reason text,
    duration real,
    started text,
    started_source text check (started_source in ('container', 'file')),
    model text,
    settings text not null default '{}',
    patterns text,
    machine_seconds real,
    added_at text not null,
    heard_at text,
    same_as integer references recording(id) on delete set null,
    same_offset real
);
create index recording_project on recording(project_id);

-- A file; several clips are one recording where a camera cut one take into chapter files.
create table clip (
    id integer primary key,
    recording_id integer not null references recording(id) on delete cascade,
    path text not null,
    name text not null,
    sha256 text unique,
    size integer not null,
    mtime_ns integer not null,
    container text,
    start real not null default 0,
    duration real,
    recorded_at text,
    recorded_at_source text check (recorded_at_source in ('container', 'file')),
    has_video integer not null default 0
);
create index clip_recording on clip(recording_id);
create index clip_path on clip(path);

-- Finished stretches of a recording that is still being heard, so that an interrupted hearing goes on from there.
create table part (
    recording_id integer not null references recording(id) on delete cascade,
    n integer not null,
    settings text not null,
    "end" real not null,       -- heard up to here
    body text not null,
    saved_at text not null,
    primary key (recording_id, n)
);

create table cue (
    id integer primary key,
    recording_id integer not null references recording(id) on delete cascade,
    n integer not null,
    start real not null,
    "end" real not null,
    text text not null,
    trust text not null default 'ok' check (trust in ('ok', 'doubtful', 'dropped')),
    reason text,
    over_machine integer not null default 0,
    words text not null default '[]'
);
create index cue_recording on cue(recording_id, start);

create table stretch (
    id integer primary key,
    recording_id integer not null references recording(id) on delete cascade,
    start real not null,
    "end" real not null,
    kind text not null check (kind in ('speech', 'noise', 'quiet', 'unclear')),
    level real,
    machine integer not null default 0
);
create index stretch_recording on stretch(recording_id, start);

-- Short windows that were heard a second time, because numbers in them were doubtful.
create table second_hearing (
    id integer primary key,
    recording_id integer not null references recording(id) on delete cascade,
    start real not null,
    "end" real not null,
    text text not null,
    words text not null
);
create index second_hearing_recording on second_hearing(recording_id);

create table fact (
    id integer primary key,
    recording_id integer not null references recording(id) on delete cascade,
    cue_id integer references cue(id) on delete set null,
    kind text not null,
    item text,
    value real,
    low real,
    high real,
    unit text,
    si_low real,     -- the smallest and largest stated number in si_unit: what searches compare
    si_high real,
    si_unit text,
    approx integer not null default 0,
    status text not null,
    start real not null,
    "end" real not null,
    quote text not null,
    attrs text not null default '{}',
    confidence real not null,
    other_piece integer not null default 0,
    operation text,
    piece integer,
    verdict text check (verdict in ('accept', 'change', 'reject', 'add')),
    correction_id integer references correction(id) on delete set null,
    heard text       -- the fact as heard, where a correction changed it
);
create index fact_recording on fact(recording_id, start);
create index fact_kind on fact(kind, item, si_low);
create index fact_item on fact(item);
create index fact_doubt on fact(confidence) where verdict is null;

create table correction (
    id integer primary key,
    recording_id integer not null references recording(id) on delete cascade,
    verdict text not null check (verdict in ('accept', 'change', 'reject', 'add')),
    old text not null,
    new text not null,
    why text,
    author text,
    written_at text not null,
    undone_at text
);
create index correction_recording on correction(recording_id);

-- The maker's own list: a word heard wrong, what was meant.
create table vocabulary (
    id integer primary key,
    heard text not null unique collate nocase,
    meant text not null,
    added_at text not null,
    correction_id integer references correction(id) on delete set null
);

-- Operations of the work in each recording, worked out again whenever its project changes.
create table stage (
    id integer primary key,
    recording_id integer not null references recording(id) on delete cascade,
    operation text not null,
    start real not null,
    "end" real not null,
    piece integer not null default 1,
    evidence text not null default ''
);
create index stage_recording on stage(recording_id, start);

-- What a person settled by hand: a promise answered, a point of the checklist looked at.
create table settled (
    id integer primary key,
    project_id integer not null references project(id) on delete cascade,
    topic text not null,
    key text not null,
    state text not null,
    note text,
    author text,
    settled_at text not null,
    unique (project_id, topic, key)
);

-- Only kept cues are found; the view is what the index is checked against.
create view cue_kept as select id, text from cue where trust != 'dropped';
create virtual table cue_fts using fts5(
    text, content='cue_kept', content_rowid='id', tokenize='porter unicode61 remove_diacritics 2');
create trigger cue_ai after insert on cue when new.trust != 'dropped' begin
    insert into cue_fts(rowid, text) values (new.id, new.text);
end;
create trigger cue_ad after delete on cue when old.trust != 'dropped' begin
    insert into cue_fts(cue_fts, rowid, text) values ('delete', old.id, old.text);
end;
create trigger cue_au after update of text, trust on cue begin
    insert into cue_fts(cue_fts, rowid, text) select 'delete', old.id, old.text where old.trust != 'dropped';
    insert into cue_fts(rowid, text) select new.id, new.text where new.trust != 'dropped';
end;

create virtual table fact_fts using fts5(
    kind, item, quote, attrs, content='fact', content_rowid='id', tokenize='porter unicode61 remove_diacritics 2');
create trigger fact_ai after insert on fact begin
    insert into fact_fts(rowid, kind, item, quote, attrs) values (new.id, new.kind, new.item, new.quote, new.attrs);
end;
create trigger fact_ad after delete on fact begin
    insert into fact_fts(fact_fts, rowid, kind, item, quote, attrs)
        values ('delete', old.id, old.kind, old.item, old.quote, old.attrs);
end;
create trigger fact_au after update of kind, item, quote, attrs on fact begin
    insert into fact_fts(fact_fts, rowid, kind, item, quote, attrs)
        values ('delete', old.id, old.kind, old.item, old.quote, old.attrs);
    insert into fact_fts(rowid, kind, item, quote, attrs) values (new.id, new.kind, new.item, new.quote, new.attrs);
end;
