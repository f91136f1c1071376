-- People who use the pages: links by mail, sessions, calendar feeds, and the mails the pages send. Of links and sessions only hashes are kept.
CREATE TABLE person (
    address TEXT NOT NULL PRIMARY KEY,
    language TEXT,
    asked_at INTEGER,
    confirmed_at INTEGER
) STRICT, WITHOUT ROWID;

CREATE TABLE entry_link (
    hash BLOB NOT NULL PRIMARY KEY,
    address TEXT NOT NULL,
    purpose TEXT NOT NULL,
    target TEXT NOT NULL,
    made_at INTEGER NOT NULL,
    ends_at INTEGER NOT NULL,
    used_at INTEGER
) STRICT, WITHOUT ROWID;

CREATE INDEX entry_link_by_address ON entry_link (address, made_at);

CREATE TABLE page_session (
    id INTEGER PRIMARY KEY,
    hash BLOB NOT NULL UNIQUE,
    address TEXT NOT NULL,
    device TEXT NOT NULL,
    opened_at INTEGER NOT NULL,
    seen_at INTEGER NOT NULL,
    ended_at INTEGER
) STRICT;

CREATE INDEX page_session_by_address ON page_session (address, id);

CREATE TABLE page_mail (
    id INTEGER PRIMARY KEY,
    address TEXT NOT NULL,
    message_id TEXT NOT NULL UNIQUE,
    subject TEXT NOT NULL,
    bytes BLOB NOT NULL,
    sealed_at INTEGER NOT NULL,
    useful_until INTEGER NOT NULL,
    state TEXT NOT NULL,
    tries INTEGER NOT NULL DEFAULT 0,
    next_try_at INTEGER,
    last_detail TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE INDEX page_mail_waiting ON page_mail (next_try_at, id) WHERE state = 'waiting';

CREATE TABLE feed (
    grower_id INTEGER NOT NULL PRIMARY KEY REFERENCES grower (id),
    number INTEGER NOT NULL,
    renewed_at INTEGER NOT NULL,
    closed_at INTEGER
) STRICT;

-- What links of letters are about: one row an advice, as it was last said.
CREATE TABLE advice_line (
    grower_id INTEGER NOT NULL REFERENCES grower (id),
    advice TEXT NOT NULL,
    said_on TEXT NOT NULL,
    said_at INTEGER NOT NULL,
    position INTEGER NOT NULL,
    action TEXT NOT NULL,
    hazard TEXT NOT NULL,
    level TEXT NOT NULL,
    materials TEXT NOT NULL,
    labels TEXT NOT NULL,
    words TEXT NOT NULL,
    PRIMARY KEY (grower_id, advice)
) STRICT, WITHOUT ROWID;

CREATE INDEX grower_detail_by_address ON grower_detail (lower(address));
