-- Whether a recording was compared with the others of its time. One that was stored just before an interruption was not,
-- and is at the next run; those of older versions were.
alter table recording add column compared integer not null default 0;
update recording set compared = 1 where state = 'done';
