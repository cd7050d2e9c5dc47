-- AlterTable
ALTER TABLE "volunteer" ADD COLUMN     "erased_at" TIMESTAMPTZ(3);

-- CreateTable
CREATE TABLE "erasure" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "what" TEXT NOT NULL,
    "erased_at" TIMESTAMPTZ(3) NOT NULL,
    "transaction" TEXT NOT NULL,
    "blobs" JSONB NOT NULL,
    "tables" JSONB NOT NULL,
    "bytes_gone_at" TIMESTAMPTZ(3),

    CONSTRAINT "erasure_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "identity_search_hash" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "hash" BYTEA NOT NULL,
    "key_version" INTEGER NOT NULL,

    CONSTRAINT "identity_search_hash_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "signed_name" (
    "consent_record_id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "name_cipher" BYTEA NOT NULL,
    "key_version" INTEGER NOT NULL,

    CONSTRAINT "signed_name_pkey" PRIMARY KEY ("consent_record_id")
);

-- CreateTable
CREATE TABLE "identity_key_state" (
    "id" INTEGER NOT NULL DEFAULT 1,
    "current_version" INTEGER NOT NULL,

    CONSTRAINT "identity_key_state_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "retention_plan" (
    "study_id" TEXT NOT NULL,
    "ended_on" DATE,
    "identity_after_end" INTEGER,
    "recordings_after_end" INTEGER,
    "consent_after_end" INTEGER,
    "identity_after_withdrawal" INTEGER,
    "recordings_after_withdrawal" INTEGER,
    "consent_after_withdrawal" INTEGER,
    "revision" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "retention_plan_pkey" PRIMARY KEY ("study_id")
);

-- CreateIndex
CREATE INDEX "erasure_study_id_volunteer_id_idx" ON "erasure"("study_id", "volunteer_id");

-- CreateIndex
CREATE INDEX "erasure_bytes_gone_at_idx" ON "erasure"("bytes_gone_at");

-- CreateIndex
CREATE INDEX "identity_search_hash_study_id_hash_idx" ON "identity_search_hash"("study_id", "hash");

-- CreateIndex
CREATE INDEX "identity_search_hash_study_id_volunteer_id_idx" ON "identity_search_hash"("study_id", "volunteer_id");

-- CreateIndex
CREATE INDEX "signed_name_study_id_volunteer_id_idx" ON "signed_name"("study_id", "volunteer_id");

-- AddForeignKey
ALTER TABLE "erasure" ADD CONSTRAINT "erasure_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "erasure" ADD CONSTRAINT "erasure_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "identity_search_hash" ADD CONSTRAINT "identity_search_hash_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "identity_search_hash" ADD CONSTRAINT "identity_search_hash_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "signed_name" ADD CONSTRAINT "signed_name_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "signed_name" ADD CONSTRAINT "signed_name_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "signed_name" ADD CONSTRAINT "signed_name_consent_record_id_fkey" FOREIGN KEY ("consent_record_id") REFERENCES "consent_record"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "retention_plan" ADD CONSTRAINT "retention_plan_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: a schema cannot say it.

-- Names as signed move to their own table, where rights can be given and taken apart from the decisions. The place that each
-- value is bound to by its encryption stays the same, so that it decrypts. Takes an exclusive lock on "consent_record".
INSERT INTO "signed_name" ("consent_record_id", "study_id", "volunteer_id", "name_cipher", "key_version")
  SELECT "id", "study_id", "volunteer_id", "name_as_signed_cipher", "key_version" FROM "consent_record";
ALTER TABLE "consent_record" DROP COLUMN "key_version",
DROP COLUMN "name_as_signed_cipher";

-- What is encrypted so far is of version 1. The row is there from the beginning, so that it can be held.
INSERT INTO "identity_key_state" ("id", "current_version") VALUES (1, 1);
ALTER TABLE "identity_key_state" ADD CONSTRAINT "identity_key_state_is_one_row" CHECK ("id" = 1);

-- A tombstone stays as it is, and nothing is entered about a volunteer who was erased. The volunteer is held, so that an
-- erasure that is under way is waited for.
CREATE FUNCTION refuse_about_erased() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  gone timestamptz;
BEGIN
  SELECT erased_at INTO gone FROM volunteer WHERE id = NEW.volunteer_id FOR KEY SHARE;
  IF gone IS NOT NULL THEN
    RAISE EXCEPTION 'the volunteer of this row of % was erased', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
  END IF;
  RETURN NEW;
END $$;
CREATE FUNCTION refuse_tombstone_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'a volunteer who was erased is never changed or removed' USING ERRCODE = 'restrict_violation';
END $$;
CREATE TRIGGER volunteer_tombstone_stays BEFORE UPDATE OR DELETE ON "volunteer"
  FOR EACH ROW WHEN (OLD.erased_at IS NOT NULL) EXECUTE FUNCTION refuse_tombstone_change();
CREATE TRIGGER identity_is_of_nobody_erased BEFORE INSERT ON "identity"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER identity_search_hash_is_of_nobody_erased BEFORE INSERT ON "identity_search_hash"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER signed_name_is_of_nobody_erased BEFORE INSERT ON "signed_name"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER body_measures_is_of_nobody_erased BEFORE INSERT ON "body_measures"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER consent_record_is_of_nobody_erased BEFORE INSERT ON "consent_record"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER withdrawal_is_of_nobody_erased BEFORE INSERT ON "withdrawal"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER trial_is_of_nobody_erased BEFORE INSERT ON "trial"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER release_volunteer_is_of_nobody_erased BEFORE INSERT ON "release_volunteer"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
