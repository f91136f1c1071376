-- The joined hours of a place lie in weather_day under an empty source; this says from when to when, and whose forecast they hold.
CREATE TABLE weather_series (
    place TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    source TEXT COLLATE "C" NOT NULL,
    credit TEXT COLLATE "C" NOT NULL,
    issued_at BIGINT NOT NULL,
    first_hour_end BIGINT NOT NULL,
    last_hour_end BIGINT NOT NULL
);

CREATE TABLE kept_reply (
    name TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    body BYTEA NOT NULL,
    etag TEXT COLLATE "C",
    last_modified TEXT COLLATE "C",
    expires_at BIGINT,
    fetched_at BIGINT NOT NULL
);
