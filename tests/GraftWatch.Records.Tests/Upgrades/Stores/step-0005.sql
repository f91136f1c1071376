PRAGMA auto_vacuum = INCREMENTAL;
PRAGMA application_id = 1196905300;
CREATE TABLE schema_version (number BIGINT NOT NULL PRIMARY KEY, name TEXT NOT NULL, hash TEXT NOT NULL, applied_at BIGINT NOT NULL);
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
, answered_on TEXT) STRICT;
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
, hold_from TEXT, hold_until TEXT, frost_passes INTEGER NOT NULL DEFAULT 1, urgent_a_day INTEGER NOT NULL DEFAULT 3, picture INTEGER NOT NULL DEFAULT 1, calendar INTEGER NOT NULL DEFAULT 1) STRICT;
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
CREATE TABLE "letter" (
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
CREATE TABLE "letter_try" (
    letter_id INTEGER NOT NULL REFERENCES "letter" (id) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    at INTEGER NOT NULL,
    outcome TEXT NOT NULL,
    reason TEXT NOT NULL,
    detail TEXT NOT NULL,
    PRIMARY KEY (letter_id, number)
) STRICT, WITHOUT ROWID;
CREATE TABLE grower_stop (
    grower_id INTEGER NOT NULL PRIMARY KEY REFERENCES grower (id),
    stopped_at INTEGER NOT NULL,
    stopped_by TEXT NOT NULL
) STRICT;
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
CREATE TABLE page_session (
    id INTEGER PRIMARY KEY,
    hash BLOB NOT NULL UNIQUE,
    address TEXT NOT NULL,
    device TEXT NOT NULL,
    opened_at INTEGER NOT NULL,
    seen_at INTEGER NOT NULL,
    ended_at INTEGER
) STRICT;
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
CREATE TABLE feed (
    grower_id INTEGER NOT NULL PRIMARY KEY REFERENCES grower (id),
    number INTEGER NOT NULL,
    renewed_at INTEGER NOT NULL,
    closed_at INTEGER
) STRICT;
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
CREATE INDEX observation_by_grower ON observation (grower_id, at, id);
CREATE TRIGGER observation_only_grows BEFORE UPDATE OF grower_id, label, at, kind, amount, words, noted_at ON observation BEGIN SELECT RAISE(ABORT, 'observations are only added to'); END;
CREATE INDEX letter_waiting ON letter (sealed_at, id) WHERE state = 'waiting';
CREATE TRIGGER letter_stays_sealed BEFORE UPDATE OF grower_id, local_date, kind, ordinal, channel, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, useful_until ON letter BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;
CREATE INDEX entry_link_by_address ON entry_link (address, made_at);
CREATE INDEX page_session_by_address ON page_session (address, id);
CREATE INDEX page_mail_waiting ON page_mail (next_try_at, id) WHERE state = 'waiting';
CREATE INDEX grower_detail_by_address ON grower_detail (lower(address));
INSERT INTO "entry_link" ("hash", "address", "purpose", "target", "made_at", "ends_at", "used_at") VALUES (X'01', 'some address', 'some purpose', 'some target', 1, 1, 1);
INSERT INTO "grower" ("id", "name", "last_number") VALUES (1, 'Ada Quill', 2);
INSERT INTO "grower" ("id", "name", "last_number") VALUES (2, 'Bo Reed', 0);
INSERT INTO "job_run" ("job", "due_at", "started_at", "ended_at", "good", "detail") VALUES ('morning', 18102690000000000, 18102690000000000, NULL, 0, 'died');
INSERT INTO "kept_reply" ("name", "body", "etag", "last_modified", "expires_at", "fetched_at") VALUES ('some name', X'01', 'some etag', 'some last_modified', 1, 1);
INSERT INTO "page_mail" ("id", "address", "message_id", "subject", "bytes", "sealed_at", "useful_until", "state", "tries", "next_try_at", "last_detail") VALUES (1, 'some address', 'some message_id', 'some subject', X'01', 1, 1, 'some state', 1, 1, 'some last_detail');
INSERT INTO "page_session" ("id", "hash", "address", "device", "opened_at", "seen_at", "ended_at") VALUES (1, X'01', 'some address', 'some device', 1, 1, 1);
INSERT INTO "person" ("address", "language", "asked_at", "confirmed_at") VALUES ('ada@example.org', 'de', 18102690000000000, 18102691800000000);
INSERT INTO "place" ("name", "latitude_deg", "longitude_deg", "elevation_m", "ground_albedo_frac", "roughness_m", "shelter_wind_frac", "frost_offset_k", "horizon_deg", "available_soil_water_mm", "zone", "assumed") VALUES ('Long Meadow', 47.1, 8.3, 430.0, 0.2, 0.03, 1.0, 0.0, '[1,2.5]', 150.0, 'Europe/Berlin', '["loam"]');
INSERT INTO "request_tally" ("host", "counted_at", "minute_used", "hour_used", "day_used", "not_before", "why") VALUES ('weather.example', 18102690000000000, 1.0, 2.5, 3.0, NULL, '');
INSERT INTO "schema_version" ("number", "name", "hash", "applied_at") VALUES (1, 'register-and-letters', '5778132d145e1b6bc283c9a93f288db68bbd83d4d23c693c41873a9e69387a18', 17900000000000000);
INSERT INTO "schema_version" ("number", "name", "hash", "applied_at") VALUES (2, 'growers-places-weather', 'a4497b0b8d625e68efec721cd3938f3f2236fa29f1fe6dfdbd7c2e2976015936', 17900000000000000);
INSERT INTO "schema_version" ("number", "name", "hash", "applied_at") VALUES (3, 'kept-weather', '6de858ee3e3de44809ce2bd463f1eb36351daed564497c4f8cc0a5f0979d0b4e', 17900000000000000);
INSERT INTO "schema_version" ("number", "name", "hash", "applied_at") VALUES (4, 'channels-and-wishes', '7d89438185cd978b58adbdf1a10ec091316bb3532fbca3a53b3979758e941326', 17900000000000000);
INSERT INTO "schema_version" ("number", "name", "hash", "applied_at") VALUES (5, 'people-and-pages', 'f704f27e50c3c31f306225f7ad8e608ef73d121f8182bd8bd971f15d38fbcd18', 17900000000000000);
INSERT INTO "store_note" ("name", "content") VALUES ('secret', '95e621e35637243dc6031dd10540099a2750825a3c79de38f2d557b8f85a01be');
INSERT INTO "weather_day" ("place", "source", "day", "columns", "saved_at") VALUES ('Long Meadow', '', '2027-05-10', X'DB00000013DA000004627657165861F3C083001383DF8247269C06E0C3D46E7CB13240AA2D42D1C7B43BAEC2337817DF31339F8AC53FBA01', 18102690000000000);
INSERT INTO "weather_day" ("place", "source", "day", "columns", "saved_at") VALUES ('Long Meadow', '', '2027-05-11', X'DB00000013DA0000E4FF1FE7DF6D696D51E9ADC94EF8802ADCA8BEF3DBD03F929CBF93900CC823640148C060000BD870C31C40FAA08D5848C3C17A9B99785F184D4F43D581621D81146DB1F2D25B94D9BA6735E45FA5A55B40868C00428282713FF42CE828FC1B07F70921E7F394E0B86300680377C1326D674078B718C4975B692F3BEB0331612F74F716BEE5DDC9DEF9C2E537451EEF76266B7B47E7CFA1FAFC1799AB2DE735BF1368DB7C56DD6F219CAFD6503F387C914CA9D1E98D268BCDEE7479BC3EBF3F10D4FE6BB55AAD56ABD502', 18102690000000000);
INSERT INTO "weather_day" ("place", "source", "day", "columns", "saved_at") VALUES ('Long Meadow', '', '2027-05-12', X'DB00000013DA0000C472F7BFD3B638F1E6897C9660A0912681BDB6D616781E58D242269CC61EE080313CE03340AA2F3301A0B6C9FBB9D469A7C9F674375DF66F9C22F14AA81F', 18102690000000000);
INSERT INTO "weather_day" ("place", "source", "day", "columns", "saved_at") VALUES ('Long Meadow', 'open forecast', '2027-05-10', X'DB00000013DA000004627657165861F3C083001383DF8247269C06E0C3D46E7CB13240AA2D42D1C7B43BAEC2337817DF31339F8AC53FBA01', 18102690000000000);
INSERT INTO "weather_day" ("place", "source", "day", "columns", "saved_at") VALUES ('Long Meadow', 'open forecast', '2027-05-11', X'DB00000013DA0000E4FF1FE7DF6D696D51E9ADC94EF8802ADCA8BEF3DBD03F929CBF93900CC823640148C060000BD870C31C40FAA08D5848C3C17A9B99785F184D4F43D581621D81146DB1F2D25B94D9BA6735E45FA5A55B40868C00428282713FF42CE828FC1B07F70921E7F394E0B86300680377C1326D674078B718C4975B692F3BEB0331612F74F716BEE5DDC9DEF9C2E537451EEF76266B7B47E7CFA1FAFC1799AB2DE735BF1368DB7C56DD6F219CAFD6503F387C914CA9D1E98D268BCDEE7479BC3EBF3F10D4FE6BB55AAD56ABD502', 18102690000000000);
INSERT INTO "weather_day" ("place", "source", "day", "columns", "saved_at") VALUES ('Long Meadow', 'open forecast', '2027-05-12', X'DB00000013DA0000C472F7BFD3B638F1E6897C9660A0912681BDB6D616781E58D242269CC61EE080313CE03340AA2F3301A0B6C9FBB9D469A7C9F674375DF66F9C22F14AA81F', 18102690000000000);
INSERT INTO "weather_series" ("place", "source", "credit", "issued_at", "first_hour_end", "last_hour_end") VALUES ('Long Meadow', 'open forecast', 'credit „line“', 18102690000000000, 18099864000000000, 18100908000000000);
INSERT INTO "advice_line" ("grower_id", "advice", "said_on", "said_at", "position", "action", "hazard", "level", "materials", "labels", "words") VALUES (1, 'shade-heat-01234567', '2027-05-14', 18102690000000000, 0, 'shade', 'heat', 'act', '["foil sleeve"]', '["B3-07"]', 'Shade „it“.');
INSERT INTO "answer" ("id", "grower_id", "action", "hazard", "state", "until", "at", "undone_at", "answered_on") VALUES (1, 1, 'shade', 'heat', 'put-off', '2027-05-16', 18102726000000000, 18102762000000000, '2027-05-14');
INSERT INTO "answer" ("id", "grower_id", "action", "hazard", "state", "until", "at", "undone_at", "answered_on") VALUES (2, 1, 'shade', 'heat', 'done', NULL, 18102798000000000, NULL, NULL);
INSERT INTO "channel" ("grower_id", "position", "name", "kind", "target", "morning", "urgent", "held_from", "held_to") VALUES (1, 0, 'mail', 'mail', 'ada@example.org', 1, 1, '22:00:00', '05:30:00');
INSERT INTO "feed" ("grower_id", "number", "renewed_at", "closed_at") VALUES (1, 1, 18102690000000000, NULL);
INSERT INTO "graft" ("grower_id", "label", "place", "block", "line", "tree", "species", "scion", "stock", "technique", "made", "unions", "aspect_deg", "tilt_deg", "height_m", "diameter_m", "cover", "cover_vented", "tie", "seal", "shoot_m", "bbch", "nurse_buds", "support", "notes", "assumed") VALUES (1, 'B3-07', 'Long Meadow', 'B', '3', '7', 'apple', 'Kestrel Russet', 'dwarf 9', 'whip-and-tongue', '2027-04-02', 3, 202.5, 12.25, 0.35, 0.012345678901234501, 'foil', 1, 'raffia', 'wax', 0.12, 9, 2, 'tied', '“north side” – über
second line', '["The tilt was left empty: 0\u00B0 is taken.","x"]');
INSERT INTO "graft" ("grower_id", "label", "place", "block", "line", "tree", "species", "scion", "stock", "technique", "made", "unions", "aspect_deg", "tilt_deg", "height_m", "diameter_m", "cover", "cover_vented", "tie", "seal", "shoot_m", "bbch", "nurse_buds", "support", "notes", "assumed") VALUES (1, 'Ω „quer“', 'Long Meadow', 'B', '3', '7', 'apple', 'Kestrel Russet', 'dwarf 9', 'whip-and-tongue', '2027-04-02', 3, 0.30000000000000004, 12.25, 0.35, 0.012345678901234501, 'foil', 1, 'raffia', 'wax', NULL, NULL, 2, 'tied', '“north side” – über
second line', '["The tilt was left empty: 0\u00B0 is taken.","x"]');
INSERT INTO "grower_detail" ("grower_id", "address", "zone", "letter_time", "units", "hold_from", "hold_until", "frost_passes", "urgent_a_day", "picture", "calendar") VALUES (1, 'ada@example.org', 'Europe/Berlin', '06:30:00', 'metric', '22:30:00', '05:15:00', 0, 2, 1, 0);
INSERT INTO "grower_place" ("grower_id", "position", "place") VALUES (1, 0, 'Long Meadow');
INSERT INTO "grower_stop" ("grower_id", "stopped_at", "stopped_by") VALUES (2, 18102690000000000, 'operator');
INSERT INTO "letter" ("id", "grower_id", "local_date", "kind", "ordinal", "channel", "number", "message_id", "recipient", "subject", "bytes", "bytes_hash", "sealed_at", "useful_until", "state", "tries", "last_try_at", "last_detail", "next_try_at", "claim_owner", "claim_epoch", "claim_until", "started_at") VALUES (1, 1, '2027-05-14', 'morning', 0, 'mail', 1, 'mail.Ada-Quill.20270514.Morning.1@letters.example', 'ada@example.org', 'No. 1 · shade 7 unions – 11:00', X'5375626A6563743A204E6F2E20310D0A0D0A5368616465203720756E696F6E732E20416461205175696C6C204672696461792C203134204D617920323032370D0A2E2E2E2E', X'A26E06E2F3FEAA5E300CCF3EE8D1F5AFCF2FCD8A48A3B4C8D622AB8BC29B07A9', 18102690000000000, NULL, 'accepted', 2, 18102690600000000, '250 ok', NULL, '', 0, NULL, NULL);
INSERT INTO "letter" ("id", "grower_id", "local_date", "kind", "ordinal", "channel", "number", "message_id", "recipient", "subject", "bytes", "bytes_hash", "sealed_at", "useful_until", "state", "tries", "last_try_at", "last_detail", "next_try_at", "claim_owner", "claim_epoch", "claim_until", "started_at") VALUES (2, 1, '2027-05-14', 'morning', 0, 'own:phone', 1, 'own:phone.Ada-Quill.20270514.Morning.1@letters.example', 'ada@example.org', 'No. 1 · shade 7 unions – 11:00', X'5375626A6563743A204E6F2E20310D0A0D0A5368616465203720756E696F6E732E20416461205175696C6C204672696461792C203134204D617920323032370D0A2E2E2E2E2E2E2E2E2E', X'79670697210FDB8876532C205F56B6646A4A41C24BAC3571203652B76AF539BB', 18102690000000000, 18102906000000000, 'accepted', 1, 18102690000000000, '200 OK', NULL, '', 0, NULL, NULL);
INSERT INTO "letter" ("id", "grower_id", "local_date", "kind", "ordinal", "channel", "number", "message_id", "recipient", "subject", "bytes", "bytes_hash", "sealed_at", "useful_until", "state", "tries", "last_try_at", "last_detail", "next_try_at", "claim_owner", "claim_epoch", "claim_until", "started_at") VALUES (3, 1, '2027-05-14', 'urgent', 0, 'mail', 2, 'Ada-Quill.20270514.Urgent.2@letters.example', 'ada@example.org', 'No. 2 · shade 7 unions – 11:00', X'5375626A6563743A204E6F2E20320D0A0D0A5368616465203720756E696F6E732E20416461205175696C6C204672696461792C203134204D617920323032370D0A2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E', X'6A7D7B168983B66361E12989C9A3139FF756EE85AFF3C9B8CF51FB421BA019F4', 18102834000000000, NULL, 'waiting', 0, NULL, '', NULL, '', 0, NULL, NULL);
INSERT INTO "observation" ("id", "grower_id", "label", "at", "kind", "amount", "words", "noted_at", "undone_at") VALUES (1, 1, 'B3-07', 18102690000000000, 'shoot-length', 0.123, 'shoot 12.3 cm', 18102690000000000, 18102726000000000);
INSERT INTO "observation" ("id", "grower_id", "label", "at", "kind", "amount", "words", "noted_at", "undone_at") VALUES (2, 1, 'B3-07', 18102690000000000, 'green-tip', NULL, '', 18102690000000000, NULL);
INSERT INTO "said" ("grower_id", "action", "hazard", "label", "first_said", "last_said", "said_at", "level") VALUES (1, 'shade', 'heat', 'B3-07', '2027-05-14', '2027-05-14', 18102690000000000, 'act');
INSERT INTO "said" ("grower_id", "action", "hazard", "label", "first_said", "last_said", "said_at", "level") VALUES (1, 'slit-tie', '', 'B3-07', '2027-05-14', '2027-05-14', 18102690000000000, 'note');
INSERT INTO "answer_graft" ("answer_id", "label") VALUES (1, 'B3-07');
INSERT INTO "answer_graft" ("answer_id", "label") VALUES (2, 'B3-07');
INSERT INTO "answer_graft" ("answer_id", "label") VALUES (1, 'B3-08');
INSERT INTO "letter_try" ("letter_id", "number", "at", "outcome", "reason", "detail") VALUES (1, 1, 18102690000000000, 'try-later', 'server-busy', '451 „später“');
INSERT INTO "letter_try" ("letter_id", "number", "at", "outcome", "reason", "detail") VALUES (1, 2, 18102690600000000, 'accepted', 'none', '250 ok');
INSERT INTO "letter_try" ("letter_id", "number", "at", "outcome", "reason", "detail") VALUES (2, 1, 18102690000000000, 'accepted', 'none', '200 OK');
