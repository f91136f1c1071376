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
CREATE INDEX observation_by_grower ON observation (grower_id, at, id);
CREATE TRIGGER observation_only_grows BEFORE UPDATE OF grower_id, label, at, kind, amount, words, noted_at ON observation BEGIN SELECT RAISE(ABORT, 'observations are only added to'); END;
CREATE INDEX letter_waiting ON letter (sealed_at, id) WHERE state = 'waiting';
CREATE TRIGGER letter_stays_sealed BEFORE UPDATE OF grower_id, local_date, kind, ordinal, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at ON letter BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;
INSERT INTO "grower" ("id", "name", "last_number") VALUES (1, 'Ada Quill', 2);
INSERT INTO "job_run" ("job", "due_at", "started_at", "ended_at", "good", "detail") VALUES ('morning', 18102690000000000, 18102690000000000, NULL, 0, 'died');
INSERT INTO "schema_version" ("number", "name", "hash", "applied_at") VALUES (1, 'register-and-letters', '5778132d145e1b6bc283c9a93f288db68bbd83d4d23c693c41873a9e69387a18', 17900000000000000);
INSERT INTO "store_note" ("name", "content") VALUES ('secret', 'a9386b41a5b888e529edc0df3bc81a0aed847b419f08ef39c411590355d10a46');
INSERT INTO "answer" ("id", "grower_id", "action", "hazard", "state", "until", "at", "undone_at") VALUES (1, 1, 'shade', 'heat', 'put-off', '2027-05-16', 18102726000000000, 18102762000000000);
INSERT INTO "answer" ("id", "grower_id", "action", "hazard", "state", "until", "at", "undone_at") VALUES (2, 1, 'shade', 'heat', 'done', NULL, 18102798000000000, NULL);
INSERT INTO "graft" ("grower_id", "label", "place", "block", "line", "tree", "species", "scion", "stock", "technique", "made", "unions", "aspect_deg", "tilt_deg", "height_m", "diameter_m", "cover", "cover_vented", "tie", "seal", "shoot_m", "bbch", "nurse_buds", "support", "notes", "assumed") VALUES (1, 'B3-07', 'Long Meadow', 'B', '3', '7', 'apple', 'Kestrel Russet', 'dwarf 9', 'whip-and-tongue', '2027-04-02', 3, 202.5, 12.25, 0.35, 0.012345678901234501, 'foil', 1, 'raffia', 'wax', 0.12, 9, 2, 'tied', '“north side” – über
second line', '["The tilt was left empty: 0\u00B0 is taken.","x"]');
INSERT INTO "graft" ("grower_id", "label", "place", "block", "line", "tree", "species", "scion", "stock", "technique", "made", "unions", "aspect_deg", "tilt_deg", "height_m", "diameter_m", "cover", "cover_vented", "tie", "seal", "shoot_m", "bbch", "nurse_buds", "support", "notes", "assumed") VALUES (1, 'Ω „quer“', 'Long Meadow', 'B', '3', '7', 'apple', 'Kestrel Russet', 'dwarf 9', 'whip-and-tongue', '2027-04-02', 3, 0.30000000000000004, 12.25, 0.35, 0.012345678901234501, 'foil', 1, 'raffia', 'wax', NULL, NULL, 2, 'tied', '“north side” – über
second line', '["The tilt was left empty: 0\u00B0 is taken.","x"]');
INSERT INTO "letter" ("id", "grower_id", "local_date", "kind", "ordinal", "number", "message_id", "recipient", "subject", "bytes", "bytes_hash", "sealed_at", "state", "tries", "last_try_at", "last_detail", "next_try_at", "claim_owner", "claim_epoch", "claim_until", "started_at") VALUES (1, 1, '2027-05-14', 'morning', 0, 1, 'Ada-Quill.20270514.Morning.1@letters.example', 'ada@example.org', 'No. 1 · shade 7 unions – 11:00', X'5375626A6563743A204E6F2E20310D0A0D0A5368616465203720756E696F6E732E20416461205175696C6C204672696461792C203134204D617920323032370D0A2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E', X'1DE3B0FBCE01536761E0A70B020E693C39074437D78C277F0A4D4AF4397BA4DC', 18102690000000000, 'accepted', 2, 18102690600000000, '250 ok', NULL, '', 0, NULL, NULL);
INSERT INTO "letter" ("id", "grower_id", "local_date", "kind", "ordinal", "number", "message_id", "recipient", "subject", "bytes", "bytes_hash", "sealed_at", "state", "tries", "last_try_at", "last_detail", "next_try_at", "claim_owner", "claim_epoch", "claim_until", "started_at") VALUES (2, 1, '2027-05-14', 'urgent', 0, 2, 'Ada-Quill.20270514.Urgent.2@letters.example', 'ada@example.org', 'No. 2 · shade 7 unions – 11:00', X'5375626A6563743A204E6F2E20320D0A0D0A5368616465203720756E696F6E732E20416461205175696C6C204672696461792C203134204D617920323032370D0A2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E2E', X'6A7D7B168983B66361E12989C9A3139FF756EE85AFF3C9B8CF51FB421BA019F4', 18102834000000000, 'waiting', 0, NULL, '', NULL, '', 0, NULL, NULL);
INSERT INTO "observation" ("id", "grower_id", "label", "at", "kind", "amount", "words", "noted_at", "undone_at") VALUES (1, 1, 'B3-07', 18102690000000000, 'shoot-length', 0.123, 'shoot 12.3 cm', 18102690000000000, 18102726000000000);
INSERT INTO "observation" ("id", "grower_id", "label", "at", "kind", "amount", "words", "noted_at", "undone_at") VALUES (2, 1, 'B3-07', 18102690000000000, 'green-tip', NULL, '', 18102690000000000, NULL);
INSERT INTO "said" ("grower_id", "action", "hazard", "label", "first_said", "last_said", "said_at", "level") VALUES (1, 'shade', 'heat', 'B3-07', '2027-05-14', '2027-05-14', 18102690000000000, 'act');
INSERT INTO "said" ("grower_id", "action", "hazard", "label", "first_said", "last_said", "said_at", "level") VALUES (1, 'slit-tie', '', 'B3-07', '2027-05-14', '2027-05-14', 18102690000000000, 'note');
INSERT INTO "answer_graft" ("answer_id", "label") VALUES (1, 'B3-07');
INSERT INTO "answer_graft" ("answer_id", "label") VALUES (2, 'B3-07');
INSERT INTO "answer_graft" ("answer_id", "label") VALUES (1, 'B3-08');
INSERT INTO "letter_try" ("letter_id", "number", "at", "outcome", "reason", "detail") VALUES (1, 1, 18102690000000000, 'try-later', 'server-busy', '451 „später“');
INSERT INTO "letter_try" ("letter_id", "number", "at", "outcome", "reason", "detail") VALUES (1, 2, 18102690600000000, 'accepted', 'none', '250 ok');
