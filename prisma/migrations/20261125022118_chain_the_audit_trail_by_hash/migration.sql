-- DropIndex
DROP INDEX "audit_entry_study_id_id_idx";

-- AlterTable
ALTER TABLE "audit_entry" ADD COLUMN     "hash" TEXT NOT NULL DEFAULT '',
ADD COLUMN     "previous_hash" TEXT NOT NULL DEFAULT '',
ADD COLUMN     "sequence" INTEGER NOT NULL DEFAULT 0,
ADD COLUMN     "values_digest" TEXT NOT NULL DEFAULT '',
ADD COLUMN     "values_salt" TEXT,
ADD COLUMN     "volunteer_id" TEXT;

-- CreateTable
CREATE TABLE "audit_chain_head" (
    "chain" TEXT NOT NULL,
    "study_id" TEXT,
    "sequence" INTEGER NOT NULL,
    "hash" TEXT NOT NULL,

    CONSTRAINT "audit_chain_head_pkey" PRIMARY KEY ("chain")
);

-- CreateIndex
CREATE INDEX "audit_chain_head_study_id_idx" ON "audit_chain_head"("study_id");

-- CreateIndex
CREATE INDEX "audit_entry_study_id_volunteer_id_sequence_idx" ON "audit_entry"("study_id", "volunteer_id", "sequence");

-- CreateIndex
CREATE INDEX "audit_entry_study_id_actor_id_sequence_idx" ON "audit_entry"("study_id", "actor_id", "sequence");

-- CreateIndex
CREATE INDEX "audit_entry_study_id_action_sequence_idx" ON "audit_entry"("study_id", "action", "sequence");

-- CreateIndex
CREATE INDEX "audit_entry_study_id_at_idx" ON "audit_entry"("study_id", "at");

-- What follows is written by hand: a schema cannot say it.
--
-- The entries that exist are chained here, in SQL and not by code at the next start: the canonical form is one function of
-- the database, used for old entries and new ones alike, and no moment remains at which an entry stands outside of a chain.
-- Takes an exclusive lock on "audit_entry" while it reads it once and writes every row of it once.

-- Over what an erasure takes away. The salt keeps what was taken from being guessed again by its digest.
CREATE FUNCTION audit_values_digest(salt text, before jsonb, after jsonb, reason text) RETURNS text
LANGUAGE sql IMMUTABLE AS $$
  SELECT encode(sha256(convert_to(json_build_array(salt, before::text, after::text, reason)::text, 'UTF8')), 'hex')
$$;

-- SHA-256 over one JSON array of texts and nulls. packages/api audit-chain/policy builds the same text.
CREATE FUNCTION audit_entry_hash(entry audit_entry) RETURNS text
LANGUAGE sql STABLE AS $$
  SELECT encode(sha256(convert_to(json_build_array(
    'acral audit entry 1',
    entry.previous_hash,
    entry.study_id,
    entry.sequence::text,
    entry.id::text,
    to_char(entry.at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"'),
    entry.actor_id,
    entry.actor_name,
    entry.action,
    entry.subject_kind,
    entry.subject_id,
    entry.subject_label,
    entry.volunteer_id,
    entry.values_digest
  )::text, 'UTF8')), 'hex')
$$;

DROP TRIGGER audit_entry_is_append_only ON "audit_entry";

UPDATE audit_entry AS e SET volunteer_id = e.subject_id WHERE e.subject_kind = 'volunteer';
UPDATE audit_entry AS e SET volunteer_id = t.volunteer_id FROM trial AS t
  WHERE e.subject_kind = 'trial' AND t.id = e.subject_id AND t.study_id = e.study_id;
UPDATE audit_entry AS e SET volunteer_id = t.volunteer_id FROM source_file AS f JOIN trial AS t ON t.id = f.trial_id
  WHERE e.subject_kind = 'source file' AND f.id = e.subject_id AND f.study_id = e.study_id;

DO $$
DECLARE
  entry audit_entry;
  head audit_chain_head;
BEGIN
  FOR entry IN SELECT * FROM audit_entry ORDER BY study_id, id LOOP
    IF head.chain IS DISTINCT FROM coalesce(entry.study_id, 'outside') THEN
      IF head.chain IS NOT NULL THEN INSERT INTO audit_chain_head SELECT head.*; END IF;
      head := ROW(coalesce(entry.study_id, 'outside'), entry.study_id, 0, repeat('0', 64));
    END IF;
    entry.sequence := head.sequence + 1;
    entry.previous_hash := head.hash;
    entry.values_salt := replace(gen_random_uuid()::text, '-', '');
    entry.values_digest := audit_values_digest(entry.values_salt, entry.before, entry.after, entry.reason);
    entry.hash := audit_entry_hash(entry);
    UPDATE audit_entry SET sequence = entry.sequence, previous_hash = entry.previous_hash, hash = entry.hash,
      values_salt = entry.values_salt, values_digest = entry.values_digest WHERE id = entry.id;
    head.sequence := entry.sequence;
    head.hash := entry.hash;
  END LOOP;
  IF head.chain IS NOT NULL THEN INSERT INTO audit_chain_head SELECT head.*; END IF;
END $$;

-- Only now: until here every entry had the number 0. What happens outside studies has no study to be unique with.
CREATE UNIQUE INDEX "audit_entry_sequence_outside_key" ON "audit_entry" ("sequence") WHERE "study_id" IS NULL;
CREATE UNIQUE INDEX "audit_entry_study_id_sequence_key" ON "audit_entry"("study_id", "sequence");

-- Chains an entry to the one before. Writers of one chain wait here for each other until they commit. The study's row comes
-- first, as the foreign key would ask for it after this trigger: in the other order one who holds the study and wants
-- the chain, and one who holds the chain and wants the study, would wait for each other for ever. Hence also: entries are the
-- last that a transaction writes, and all of one transaction belong to one chain.
CREATE FUNCTION chain_audit_entry() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  own_chain text := coalesce(NEW.study_id, 'outside');
  head audit_chain_head;
BEGIN
  IF NEW.study_id IS NOT NULL THEN
    PERFORM 1 FROM study WHERE id = NEW.study_id FOR KEY SHARE;
  END IF;
  SELECT * INTO head FROM audit_chain_head WHERE chain = own_chain FOR UPDATE;
  IF NOT FOUND THEN
    INSERT INTO audit_chain_head (chain, study_id, sequence, hash) VALUES (own_chain, NEW.study_id, 0, repeat('0', 64))
      ON CONFLICT (chain) DO NOTHING;
    SELECT * INTO STRICT head FROM audit_chain_head WHERE chain = own_chain FOR UPDATE;
  END IF;
  NEW.sequence := head.sequence + 1;
  NEW.previous_hash := head.hash;
  NEW.values_salt := replace(gen_random_uuid()::text, '-', '');
  NEW.values_digest := audit_values_digest(NEW.values_salt, NEW.before, NEW.after, NEW.reason);
  NEW.hash := audit_entry_hash(NEW);
  UPDATE audit_chain_head SET sequence = NEW.sequence, hash = NEW.hash WHERE chain = own_chain;
  RETURN NEW;
END $$;
CREATE TRIGGER audit_entry_is_chained BEFORE INSERT ON "audit_entry"
  FOR EACH ROW EXECUTE FUNCTION chain_audit_entry();

-- Append-only as before, but for one thing: the values of an entry may go when the volunteer whom they concern is erased.
-- `npm run audit:verify` asks for the entry that says so.
CREATE FUNCTION refuse_audit_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF TG_OP = 'UPDATE' AND OLD.volunteer_id IS NOT NULL AND OLD.values_salt IS NOT NULL
    AND NEW.before IS NULL AND NEW.after IS NULL AND NEW.reason IS NULL AND NEW.values_salt IS NULL
    AND to_jsonb(NEW) - '{before,after,reason,values_salt}'::text[] = to_jsonb(OLD) - '{before,after,reason,values_salt}'::text[]
  THEN
    RETURN NEW;
  END IF;
  RAISE EXCEPTION 'a row of % is never changed or removed', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$;
CREATE TRIGGER audit_entry_is_append_only BEFORE UPDATE OR DELETE ON "audit_entry"
  FOR EACH ROW EXECUTE FUNCTION refuse_audit_change();

-- The head of a chain moves on only by an entry that is chained to it.
CREATE FUNCTION refuse_head_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF TG_OP IN ('INSERT', 'UPDATE') AND pg_trigger_depth() > 1 THEN
    IF TG_OP = 'INSERT' OR (NEW.chain = OLD.chain AND NEW.sequence = OLD.sequence + 1) THEN RETURN NEW; END IF;
  END IF;
  RAISE EXCEPTION 'a row of % is never changed or removed', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$;
CREATE TRIGGER audit_chain_head_moves_with_entries BEFORE INSERT OR UPDATE OR DELETE ON "audit_chain_head"
  FOR EACH ROW EXECUTE FUNCTION refuse_head_change();
CREATE TRIGGER audit_chain_head_is_never_emptied BEFORE TRUNCATE ON "audit_chain_head"
  FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
