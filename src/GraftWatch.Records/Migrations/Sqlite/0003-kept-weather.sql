-- The joined hours of a place lie in weather_day under an empty source; this says from when to when, and whose forecast they hold.
CREATE TABLE weather_series (
    place TEXT NOT NULL PRIMARY KEY,
    source TEXT NOT NULL,
    credit TEXT NOT NULL,
    issued_at INTEGER NOT NULL,
    first_hour_end INTEGER NOT NULL,
    last_hour_end INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE kept_reply (
    name TEXT NOT NULL PRIMARY KEY,
    body BLOB NOT NULL,
    etag TEXT,
    last_modified TEXT,
    expires_at INTEGER,
    fetched_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
