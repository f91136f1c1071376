-- The bytes of old letters are let go; how many there were says that they were. Nothing else about a sealed letter ever changes.
ALTER TABLE letter ADD COLUMN bytes_let_go BIGINT;

-- The server keeps long values beside the row by itself; only letters that were sealed in a file have their bytes here.
CREATE TABLE letter_bytes (
    letter_id BIGINT PRIMARY KEY REFERENCES letter (id) ON DELETE CASCADE,
    bytes BYTEA NOT NULL
);

DROP TRIGGER letter_stays_sealed ON letter;

CREATE TRIGGER letter_stays_sealed BEFORE UPDATE OF grower_id, local_date, kind, ordinal, channel, number, message_id, recipient, subject, bytes_hash, sealed_at, useful_until ON letter FOR EACH ROW EXECUTE FUNCTION refuse_change('a sealed letter never changes');

CREATE FUNCTION letter_let_go() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN IF OLD.state = 'waiting' OR OLD.bytes_let_go IS NOT NULL OR length(NEW.bytes) <> 0 OR NEW.bytes_let_go IS DISTINCT FROM length(OLD.bytes) + coalesce((SELECT length(b.bytes) FROM letter_bytes b WHERE b.letter_id = OLD.id), 0) THEN RAISE EXCEPTION 'a sealed letter never changes'; END IF; RETURN NEW; END $$;

CREATE TRIGGER letter_lets_go_once BEFORE UPDATE OF bytes, bytes_let_go ON letter FOR EACH ROW EXECUTE FUNCTION letter_let_go();

CREATE TRIGGER letter_bytes_stay BEFORE UPDATE ON letter_bytes FOR EACH ROW EXECUTE FUNCTION refuse_change('a sealed letter never changes');

CREATE FUNCTION letter_bytes_gone() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN IF EXISTS (SELECT 1 FROM letter l WHERE l.id = OLD.letter_id AND l.bytes_let_go IS NULL) THEN RAISE EXCEPTION 'a sealed letter never changes'; END IF; RETURN OLD; END $$;

CREATE TRIGGER letter_bytes_go_when_let_go BEFORE DELETE ON letter_bytes FOR EACH ROW EXECUTE FUNCTION letter_bytes_gone();
