-- The bytes of old letters are let go; how many there were says that they were. Nothing else about a sealed letter ever changes.
ALTER TABLE letter ADD COLUMN bytes_let_go INTEGER;

-- A row is written anew, all its pages with it, whenever its state changes; the bytes, which never change, lie beside it. Those of letters sealed before stay in the row.
CREATE TABLE letter_bytes (
    letter_id INTEGER PRIMARY KEY REFERENCES letter (id) ON DELETE CASCADE,
    bytes BLOB NOT NULL
) STRICT;

DROP TRIGGER letter_stays_sealed;

CREATE TRIGGER letter_stays_sealed BEFORE UPDATE OF grower_id, local_date, kind, ordinal, channel, number, message_id, recipient, subject, bytes_hash, sealed_at, useful_until ON letter BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;

CREATE TRIGGER letter_lets_go_once BEFORE UPDATE OF bytes, bytes_let_go ON letter WHEN OLD.state = 'waiting' OR OLD.bytes_let_go IS NOT NULL OR length(NEW.bytes) <> 0 OR NEW.bytes_let_go IS NOT length(OLD.bytes) + coalesce((SELECT length(b.bytes) FROM letter_bytes b WHERE b.letter_id = OLD.id), 0) BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;

CREATE TRIGGER letter_bytes_stay BEFORE UPDATE ON letter_bytes BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;

CREATE TRIGGER letter_bytes_go_when_let_go BEFORE DELETE ON letter_bytes WHEN EXISTS (SELECT 1 FROM letter l WHERE l.id = OLD.letter_id AND l.bytes_let_go IS NULL) BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;
