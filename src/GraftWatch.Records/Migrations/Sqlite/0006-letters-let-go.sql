-- The bytes of old letters are let go; how many there were says that they were. Nothing else about a sealed letter ever changes.
ALTER TABLE letter ADD COLUMN bytes_let_go INTEGER;

DROP TRIGGER letter_stays_sealed;

CREATE TRIGGER letter_stays_sealed BEFORE UPDATE OF grower_id, local_date, kind, ordinal, channel, number, message_id, recipient, subject, bytes_hash, sealed_at, useful_until ON letter BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;

CREATE TRIGGER letter_lets_go_once BEFORE UPDATE OF bytes, bytes_let_go ON letter WHEN OLD.state = 'waiting' OR OLD.bytes_let_go IS NOT NULL OR length(NEW.bytes) <> 0 OR NEW.bytes_let_go IS NOT length(OLD.bytes) BEGIN SELECT RAISE(ABORT, 'a sealed letter never changes'); END;
