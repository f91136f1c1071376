-- The bytes of old letters are let go; how many there were says that they were. Nothing else about a sealed letter ever changes.
ALTER TABLE letter ADD COLUMN bytes_let_go BIGINT;

DROP TRIGGER letter_stays_sealed ON letter;

CREATE TRIGGER letter_stays_sealed BEFORE UPDATE OF grower_id, local_date, kind, ordinal, channel, number, message_id, recipient, subject, bytes_hash, sealed_at, useful_until ON letter FOR EACH ROW EXECUTE FUNCTION refuse_change('a sealed letter never changes');

CREATE TRIGGER letter_lets_go_once BEFORE UPDATE OF bytes, bytes_let_go ON letter FOR EACH ROW WHEN (OLD.state = 'waiting' OR OLD.bytes_let_go IS NOT NULL OR length(NEW.bytes) <> 0 OR NEW.bytes_let_go IS DISTINCT FROM length(OLD.bytes)) EXECUTE FUNCTION refuse_change('a sealed letter never changes');
