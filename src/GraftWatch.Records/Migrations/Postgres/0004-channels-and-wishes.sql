-- Copies of one letter on several channels share a number; a letter knows until when it is of use; growers' wishes, and who stopped their letters.
ALTER TABLE letter ADD COLUMN channel TEXT COLLATE "C" NOT NULL DEFAULT 'mail', ADD COLUMN useful_until BIGINT;

ALTER TABLE letter DROP CONSTRAINT letter_grower_id_local_date_kind_ordinal_key, DROP CONSTRAINT letter_grower_id_number_key, ADD UNIQUE (grower_id, local_date, kind, ordinal, channel), ADD UNIQUE (grower_id, number, channel);

DROP TRIGGER letter_stays_sealed ON letter;

CREATE TRIGGER letter_stays_sealed BEFORE UPDATE OF grower_id, local_date, kind, ordinal, channel, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, useful_until ON letter FOR EACH ROW EXECUTE FUNCTION refuse_change('a sealed letter never changes');

ALTER TABLE grower_detail ADD COLUMN hold_from TEXT COLLATE "C", ADD COLUMN hold_until TEXT COLLATE "C", ADD COLUMN frost_passes BIGINT NOT NULL DEFAULT 1, ADD COLUMN urgent_a_day BIGINT NOT NULL DEFAULT 3, ADD COLUMN picture BIGINT NOT NULL DEFAULT 1, ADD COLUMN calendar BIGINT NOT NULL DEFAULT 1;

CREATE TABLE grower_stop (
    grower_id BIGINT NOT NULL PRIMARY KEY REFERENCES grower (id),
    stopped_at BIGINT NOT NULL,
    stopped_by TEXT COLLATE "C" NOT NULL
);
