-- CreateEnum
CREATE TYPE "operator_wish" AS ENUM ('none', 'female', 'male');

-- CreateEnum
CREATE TYPE "screening_set_state" AS ENUM ('draft', 'in_force', 'retired');

-- CreateTable
CREATE TABLE "invitation_text" (
    "study_id" TEXT NOT NULL,
    "texts" JSONB NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "changed_at" TIMESTAMPTZ(3) NOT NULL,
    "changed_by_name" TEXT NOT NULL,

    CONSTRAINT "invitation_text_pkey" PRIMARY KEY ("study_id")
);

-- CreateTable
CREATE TABLE "preference" (
    "volunteer_id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "operator" "operator_wish" NOT NULL DEFAULT 'none',
    "companion_present" BOOLEAN NOT NULL DEFAULT false,
    "no_face" BOOLEAN NOT NULL DEFAULT false,
    "clothing" TEXT NOT NULL DEFAULT '',
    "other" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    "changed_at" TIMESTAMPTZ(3) NOT NULL,
    "changed_by_name" TEXT,

    CONSTRAINT "preference_pkey" PRIMARY KEY ("volunteer_id")
);

-- CreateTable
CREATE TABLE "screening_set" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "version" INTEGER NOT NULL,
    "state" "screening_set_state" NOT NULL DEFAULT 'draft',
    "content" JSONB NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL,
    "in_force_at" TIMESTAMPTZ(3),
    "retired_at" TIMESTAMPTZ(3),

    CONSTRAINT "screening_set_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "screening_record" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "screening_set_id" TEXT NOT NULL,
    "answered_on" DATE NOT NULL,
    "answers_cipher" BYTEA NOT NULL,
    "key_version" INTEGER NOT NULL,
    "recorded_at" TIMESTAMPTZ(3) NOT NULL,
    "recorded_by_name" TEXT NOT NULL,

    CONSTRAINT "screening_record_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "screening_clearance" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "screening_record_id" TEXT NOT NULL,
    "given" BOOLEAN NOT NULL,
    "decided_on" DATE NOT NULL,
    "valid_until" DATE,
    "professional_cipher" BYTEA NOT NULL,
    "key_version" INTEGER NOT NULL,
    "recorded_at" TIMESTAMPTZ(3) NOT NULL,
    "recorded_by_name" TEXT NOT NULL,

    CONSTRAINT "screening_clearance_pkey" PRIMARY KEY ("id")
);

-- CreateIndex
CREATE INDEX "preference_study_id_volunteer_id_idx" ON "preference"("study_id", "volunteer_id");

-- CreateIndex
CREATE UNIQUE INDEX "screening_set_study_id_version_key" ON "screening_set"("study_id", "version");

-- CreateIndex
CREATE INDEX "screening_record_study_id_volunteer_id_recorded_at_idx" ON "screening_record"("study_id", "volunteer_id", "recorded_at");

-- CreateIndex
CREATE INDEX "screening_clearance_study_id_volunteer_id_recorded_at_idx" ON "screening_clearance"("study_id", "volunteer_id", "recorded_at");

-- CreateIndex
CREATE INDEX "screening_clearance_screening_record_id_idx" ON "screening_clearance"("screening_record_id");

-- AddForeignKey
ALTER TABLE "invitation_text" ADD CONSTRAINT "invitation_text_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "preference" ADD CONSTRAINT "preference_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "preference" ADD CONSTRAINT "preference_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "screening_set" ADD CONSTRAINT "screening_set_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "screening_record" ADD CONSTRAINT "screening_record_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "screening_record" ADD CONSTRAINT "screening_record_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "screening_record" ADD CONSTRAINT "screening_record_screening_set_id_fkey" FOREIGN KEY ("screening_set_id") REFERENCES "screening_set"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "screening_clearance" ADD CONSTRAINT "screening_clearance_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "screening_clearance" ADD CONSTRAINT "screening_clearance_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "screening_clearance" ADD CONSTRAINT "screening_clearance_screening_record_id_fkey" FOREIGN KEY ("screening_record_id") REFERENCES "screening_record"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- Nothing is entered about a volunteer who was erased.
CREATE TRIGGER preference_is_of_nobody_erased BEFORE INSERT ON "preference"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER screening_record_is_of_nobody_erased BEFORE INSERT ON "screening_record"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER screening_clearance_is_of_nobody_erased BEFORE INSERT ON "screening_clearance"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
