-- Growers of an installation that keeps them in the store, their channels, places, weather by day, and what services were asked.
CREATE TABLE place (
    name TEXT NOT NULL PRIMARY KEY,
    latitude_deg REAL NOT NULL,
    longitude_deg REAL NOT NULL,
    elevation_m REAL NOT NULL,
    ground_albedo_frac REAL NOT NULL,
    roughness_m REAL NOT NULL,
    shelter_wind_frac REAL NOT NULL,
    frost_offset_k REAL NOT NULL,
    horizon_deg TEXT NOT NULL,
    available_soil_water_mm REAL NOT NULL,
    zone TEXT NOT NULL,
    assumed TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE grower_detail (
    grower_id INTEGER NOT NULL PRIMARY KEY REFERENCES grower (id),
    address TEXT NOT NULL,
    zone TEXT NOT NULL,
    letter_time TEXT NOT NULL,
    units TEXT NOT NULL
) STRICT;

CREATE TABLE grower_place (
    grower_id INTEGER NOT NULL REFERENCES grower (id),
    position INTEGER NOT NULL,
    place TEXT NOT NULL,
    PRIMARY KEY (grower_id, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE channel (
    grower_id INTEGER NOT NULL REFERENCES grower (id),
    position INTEGER NOT NULL,
    name TEXT NOT NULL,
    kind TEXT NOT NULL,
    target TEXT NOT NULL,
    morning INTEGER NOT NULL,
    urgent INTEGER NOT NULL,
    held_from TEXT,
    held_to TEXT,
    PRIMARY KEY (grower_id, position),
    UNIQUE (grower_id, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE weather_day (
    place TEXT NOT NULL,
    source TEXT NOT NULL,
    day TEXT NOT NULL,
    columns BLOB NOT NULL,
    saved_at INTEGER NOT NULL,
    PRIMARY KEY (place, source, day)
) STRICT, WITHOUT ROWID;

CREATE TABLE request_tally (
    host TEXT NOT NULL PRIMARY KEY,
    counted_at INTEGER NOT NULL,
    minute_used REAL NOT NULL,
    hour_used REAL NOT NULL,
    day_used REAL NOT NULL,
    not_before INTEGER,
    why TEXT NOT NULL
) STRICT, WITHOUT ROWID;

ALTER TABLE answer ADD COLUMN answered_on TEXT;
