-- A statement ends with a semicolon at the end of a line; each file runs in one transaction with its row in schema_version.
-- Instants are 100 ns ticks since 1970-01-01T00:00Z, dates ISO text, words of closed lists kebab-case text.
PRAGMA application_id = 1196905300;

CREATE TABLE grower (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    last_number INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE graft (
    grower_id INTEGER NOT NULL REFERENCES grower (id),
    label TEXT NOT NULL,
    place TEXT NOT NULL,
    block TEXT NOT NULL,
    line TEXT NOT NULL,
    tree TEXT NOT NULL,
    species TEXT NOT NULL,
    scion TEXT NOT NULL,
    stock TEXT NOT NULL,
    technique TEXT NOT NULL,
    made TEXT NOT NULL,
    unions INTEGER NOT NULL,
    aspect_deg REAL NOT NULL,
    tilt_deg REAL NOT NULL,
    height_m REAL NOT NULL,
    diameter_m REAL NOT NULL,
    cover TEXT NOT NULL,
    cover_vented INTEGER NOT NULL,
    tie TEXT NOT NULL,
    seal TEXT NOT NULL,
    shoot_m REAL,
    bbch INTEGER,
    nurse_buds INTEGER NOT NULL,
    support TEXT NOT NULL,
    notes TEXT NOT NULL,
    assumed TEXT NOT NULL,
    PRIMARY KEY (grower_id, label)
) STRICT, WITHOUT ROWID;

CREATE TABLE observation (
    id INTEGER PRIMARY KEY,
    grower_id INTEGER NOT NULL REFERENCES grower (id),
    label TEXT NOT NULL,
    at INTEGER NOT NULL,
    kind TEXT NOT NULL,
    amount REAL,
    words TEXT NOT NULL,
    noted_at INTEGER NOT NULL,
    undone_at INTEGER
) STRICT;

CREATE INDEX observation_by_grower ON observation (grower_id, at, id);

CREATE TRIGGER observation_only_grows BEFORE UPDATE OF grower_id, label, at, kind, amount, words, noted_at ON observation BEGIN SELECT RAISE(ABORT, 'observations are only added to'); END;

CREATE TABLE letter (
    id INTEGER PRIMARY KEY,
    grower_id INTEGER NOT NULL REFERENCES grower (id),
    local_date TEXT NOT NULL,
    kind TEXT NOT NULL,
    ordinal INTEGER NOT NULL DEFAULT 0,
    number INTEGER NOT NULL,
    message_id TEXT NOT NULL UNIQUE,
    recipient TEXT NOT NULL,
    subject TEXT NOT NULL,
    bytes BLOB NOT NULL,
    bytes_hash BLOB NOT NULL,
    sealed_at INTEGER NOT NULL,
    state TEXT NOT NULL,
    tries INTEGER NOT NULL DEFAULT 0,
    last_try_at INTEGER,
    last_detail TEXT NOT NULL DEFAULT '',
    next_try_at INTEGER,
    claim_owner TEXT NOT NULL DEFAULT '',
    claim_epoch INTEGER NOT NULL DEFAULT 0,
    claim_until INTEGER,
    started_at INTEGER,
    UNIQUE (grower_id, local_date, kind, ordinal),
    UNIQUE (grower_id, number)
) STRICT;

CREATE INDEX letter_waiting ON letter (sealed_at, id) WHERE state = 'waiting';

CREATE TRIGGER letter_stays_sealed BEFORE UPDATE OF grower_id, local_date, kind, ordinal, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at ON letter BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;

CREATE TABLE letter_try (
    letter_id INTEGER NOT NULL REFERENCES letter (id) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    at INTEGER NOT NULL,
    outcome TEXT NOT NULL,
    reason TEXT NOT NULL,
    detail TEXT NOT NULL,
    PRIMARY KEY (letter_id, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE said (
    grower_id INTEGER NOT NULL REFERENCES grower (id),
    action TEXT NOT NULL,
    hazard TEXT NOT NULL,
    label TEXT NOT NULL,
    first_said TEXT NOT NULL,
    last_said TEXT NOT NULL,
    said_at INTEGER NOT NULL,
    level TEXT NOT NULL,
    PRIMARY KEY (grower_id, action, hazard, label)
) STRICT, WITHOUT ROWID;

CREATE TABLE answer (
    id INTEGER PRIMARY KEY,
    grower_id INTEGER NOT NULL REFERENCES grower (id),
    action TEXT NOT NULL,
    hazard TEXT NOT NULL,
    state TEXT NOT NULL,
    until TEXT,
    at INTEGER NOT NULL,
    undone_at INTEGER
) STRICT;

CREATE TABLE answer_graft (
    answer_id INTEGER NOT NULL REFERENCES answer (id) ON DELETE CASCADE,
    label TEXT NOT NULL,
    PRIMARY KEY (label, answer_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE job_run (
    job TEXT NOT NULL,
    due_at INTEGER NOT NULL,
    started_at INTEGER NOT NULL,
    ended_at INTEGER,
    good INTEGER NOT NULL,
    detail TEXT NOT NULL,
    PRIMARY KEY (job, due_at)
) STRICT, WITHOUT ROWID;

CREATE TABLE store_note (
    name TEXT NOT NULL PRIMARY KEY,
    content TEXT NOT NULL
) STRICT, WITHOUT ROWID;
