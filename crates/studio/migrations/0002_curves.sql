-- Pitch and level of a take over time, for drawing; as JSON, in a table of its own like the report.
create table take_curves (
    take text not null primary key references take (id),
    json text not null
);
