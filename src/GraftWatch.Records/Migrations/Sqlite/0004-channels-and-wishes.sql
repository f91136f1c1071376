-- Copies of one letter on several channels share a number; a letter knows until when it is of use; growers' wishes, and who stopped their letters.
-- A key cannot be changed in place, so the table is made anew; its tries go first, or dropping it would take them along.
CREATE TABLE letter_by_channel (
    id INTEGER PRIMARY KEY,
    grower_id INTEGER NOT NULL REFERENCES grower (id),
    local_date TEXT NOT NULL,
    kind TEXT NOT NULL,
    ordinal INTEGER NOT NULL DEFAULT 0,
    channel TEXT NOT NULL DEFAULT 'mail',
    number INTEGER NOT NULL,
    message_id TEXT NOT NULL UNIQUE,
    recipient TEXT NOT NULL,
    subject TEXT NOT NULL,
    bytes BLOB NOT NULL,
    bytes_hash BLOB NOT NULL,
    sealed_at INTEGER NOT NULL,
    useful_until INTEGER,
    state TEXT NOT NULL,
    tries INTEGER NOT NULL DEFAULT 0,
    last_try_at INTEGER,
    last_detail TEXT NOT NULL DEFAULT '',
    next_try_at INTEGER,
    claim_owner TEXT NOT NULL DEFAULT '',
    claim_epoch INTEGER NOT NULL DEFAULT 0,
    claim_until INTEGER,
    started_at INTEGER,
    UNIQUE (grower_id, local_date, kind, ordinal, channel),
    UNIQUE (grower_id, number, channel)
) STRICT;

INSERT INTO letter_by_channel (id, grower_id, local_date, kind, ordinal, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, state, tries, last_try_at, last_detail, next_try_at, claim_owner, claim_epoch, claim_until, started_at)
SELECT id, grower_id, local_date, kind, ordinal, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, state, tries, last_try_at, last_detail, next_try_at, claim_owner, claim_epoch, claim_until, started_at FROM letter;

CREATE TABLE letter_try_by_channel (
    letter_id INTEGER NOT NULL REFERENCES letter_by_channel (id) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    at INTEGER NOT NULL,
    outcome TEXT NOT NULL,
    reason TEXT NOT NULL,
    detail TEXT NOT NULL,
    PRIMARY KEY (letter_id, number)
) STRICT, WITHOUT ROWID;

INSERT INTO letter_try_by_channel (letter_id, number, at, outcome, reason, detail) SELECT letter_id, number, at, outcome, reason, detail FROM letter_try;

DROP TABLE letter_try;

DROP TABLE letter;

ALTER TABLE letter_by_channel RENAME TO letter;

ALTER TABLE letter_try_by_channel RENAME TO letter_try;

CREATE INDEX letter_waiting ON letter (sealed_at, id) WHERE state = 'waiting';

CREATE TRIGGER letter_stays_sealed BEFORE UPDATE OF grower_id, local_date, kind, ordinal, channel, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, useful_until ON letter BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;

ALTER TABLE grower_detail ADD COLUMN hold_from TEXT;

ALTER TABLE grower_detail ADD COLUMN hold_until TEXT;

ALTER TABLE grower_detail ADD COLUMN frost_passes INTEGER NOT NULL DEFAULT 1;

ALTER TABLE grower_detail ADD COLUMN urgent_a_day INTEGER NOT NULL DEFAULT 3;

ALTER TABLE grower_detail ADD COLUMN picture INTEGER NOT NULL DEFAULT 1;

ALTER TABLE grower_detail ADD COLUMN calendar INTEGER NOT NULL DEFAULT 1;

CREATE TABLE grower_stop (
    grower_id INTEGER NOT NULL PRIMARY KEY REFERENCES grower (id),
    stopped_at INTEGER NOT NULL,
    stopped_by TEXT NOT NULL
) STRICT;
