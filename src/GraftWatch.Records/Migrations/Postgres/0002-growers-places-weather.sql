-- Growers of an installation that keeps them in the store, their channels, places, weather by day, and what services were asked.
CREATE TABLE place (
    name TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    latitude_deg DOUBLE PRECISION NOT NULL,
    longitude_deg DOUBLE PRECISION NOT NULL,
    elevation_m DOUBLE PRECISION NOT NULL,
    ground_albedo_frac DOUBLE PRECISION NOT NULL,
    roughness_m DOUBLE PRECISION NOT NULL,
    shelter_wind_frac DOUBLE PRECISION NOT NULL,
    frost_offset_k DOUBLE PRECISION NOT NULL,
    horizon_deg TEXT COLLATE "C" NOT NULL,
    available_soil_water_mm DOUBLE PRECISION NOT NULL,
    zone TEXT COLLATE "C" NOT NULL,
    assumed TEXT COLLATE "C" NOT NULL
);

CREATE TABLE grower_detail (
    grower_id BIGINT NOT NULL PRIMARY KEY REFERENCES grower (id),
    address TEXT COLLATE "C" NOT NULL,
    zone TEXT COLLATE "C" NOT NULL,
    letter_time TEXT COLLATE "C" NOT NULL,
    units TEXT COLLATE "C" NOT NULL
);

CREATE TABLE grower_place (
    grower_id BIGINT NOT NULL REFERENCES grower (id),
    position BIGINT NOT NULL,
    place TEXT COLLATE "C" NOT NULL,
    PRIMARY KEY (grower_id, position)
);

CREATE TABLE channel (
    grower_id BIGINT NOT NULL REFERENCES grower (id),
    position BIGINT NOT NULL,
    name TEXT COLLATE "C" NOT NULL,
    kind TEXT COLLATE "C" NOT NULL,
    target TEXT COLLATE "C" NOT NULL,
    morning BIGINT NOT NULL,
    urgent BIGINT NOT NULL,
    held_from TEXT COLLATE "C",
    held_to TEXT COLLATE "C",
    PRIMARY KEY (grower_id, position),
    UNIQUE (grower_id, name)
);

CREATE TABLE weather_day (
    place TEXT COLLATE "C" NOT NULL,
    source TEXT COLLATE "C" NOT NULL,
    day TEXT COLLATE "C" NOT NULL,
    columns BYTEA NOT NULL,
    saved_at BIGINT NOT NULL,
    PRIMARY KEY (place, source, day)
);

CREATE TABLE request_tally (
    host TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    counted_at BIGINT NOT NULL,
    minute_used DOUBLE PRECISION NOT NULL,
    hour_used DOUBLE PRECISION NOT NULL,
    day_used DOUBLE PRECISION NOT NULL,
    not_before BIGINT,
    why TEXT COLLATE "C" NOT NULL
);

ALTER TABLE answer ADD COLUMN answered_on TEXT COLLATE "C";
