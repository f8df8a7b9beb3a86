-- Types kept to text, bigint, double precision and blob: the same text runs on PostgreSQL.
-- Times are Unix milliseconds UTC; deleted_ms is null for what is there, else it can be restored.

create table player (
    id text not null primary key,
    name text not null,
    instrument text not null,
    reading text,
    level text,
    floor text,
    roof text,
    stretch_floor text,
    stretch_roof text,
    pedals bigint not null,
    minutes_a_day bigint not null,
    load_a_day double precision,
    words text not null,
    created_ms bigint not null,
    changed_ms bigint not null,
    deleted_ms bigint
);

-- The user's own files: instruments, exercises, levels, advice (TOML text as it was written).
create table own_text (
    kind text not null,
    id text not null,
    text text not null,
    created_ms bigint not null,
    changed_ms bigint not null,
    deleted_ms bigint,
    primary key (kind, id)
);

create table take (
    id text not null primary key,
    player text,
    exercise text,
    instrument text not null,
    title text not null,
    started_ms bigint not null,
    seconds double precision not null,
    sample_rate bigint not null,
    channels bigint not null,
    sha256 text not null,
    bytes bigint not null,
    gaps text not null,
    recovered bigint not null,
    created_ms bigint not null,
    changed_ms bigint not null,
    deleted_ms bigint
);
create index take_by_time on take (started_ms, id);
create index take_by_player on take (player, started_ms, id);
create index take_by_sound on take (sha256);

-- The part that was to be played, as JSON; a table of its own keeps the list of takes small.
create table take_part (
    take text not null primary key references take (id),
    json text not null
);

-- What was heard in a take: the report as JSON, and its one-line summary.
create table report (
    take text not null primary key references take (id),
    heard_ms bigint not null,
    version text not null,
    summary text not null,
    json text not null
);

-- One row per take, skill and register zone: what progress is computed from.
create table measure (
    take text not null references take (id),
    skill text not null,
    zone text not null,
    value double precision not null,
    sigma double precision not null,
    primary key (take, skill, zone)
);

create table take_note (
    id text not null primary key,
    take text not null references take (id),
    at_s double precision not null,
    author text not null,
    text text not null,
    created_ms bigint not null,
    changed_ms bigint not null,
    deleted_ms bigint
);
create index take_note_by_take on take_note (take, at_s);

create table lesson (
    id text not null primary key,
    player text not null,
    at_ms bigint not null,
    title text not null,
    text text not null,
    exercises text not null,
    takes text not null,
    created_ms bigint not null,
    changed_ms bigint not null,
    deleted_ms bigint
);
create index lesson_by_player on lesson (player, at_ms);

create table setting (
    name text not null primary key,
    json text not null
);
