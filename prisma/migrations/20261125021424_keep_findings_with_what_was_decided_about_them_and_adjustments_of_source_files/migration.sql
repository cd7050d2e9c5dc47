-- CreateEnum
CREATE TYPE "finding_verdict" AS ENUM ('accepted', 'dismissed');

-- CreateEnum
CREATE TYPE "adjustment_state" AS ENUM ('active', 'undone');

-- CreateTable
CREATE TABLE "quality_check" (
    "source_file_id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "trial_id" TEXT NOT NULL,
    "input_hash" TEXT NOT NULL,
    "values" INTEGER NOT NULL,
    "missing" INTEGER NOT NULL,
    "checked_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "quality_check_pkey" PRIMARY KEY ("source_file_id")
);

-- CreateTable
CREATE TABLE "finding" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "trial_id" TEXT NOT NULL,
    "source_file_id" TEXT NOT NULL,
    "key" TEXT NOT NULL,
    "place" INTEGER NOT NULL,
    "kind" TEXT NOT NULL,
    "from_s" DOUBLE PRECISION NOT NULL,
    "to_s" DOUBLE PRECISION NOT NULL,
    "series" JSONB NOT NULL,
    "size" DOUBLE PRECISION,
    "unit" TEXT NOT NULL,
    "count" INTEGER NOT NULL,
    "confidence" TEXT NOT NULL,
    "meaning" TEXT NOT NULL,
    "proposal" JSONB,

    CONSTRAINT "finding_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "finding_decision" (
    "study_id" TEXT NOT NULL,
    "source_file_id" TEXT NOT NULL,
    "finding_key" TEXT NOT NULL,
    "verdict" "finding_verdict" NOT NULL,
    "note" TEXT NOT NULL,
    "decided_at" TIMESTAMPTZ(3) NOT NULL,
    "decided_by_id" TEXT NOT NULL,

    CONSTRAINT "finding_decision_pkey" PRIMARY KEY ("study_id","source_file_id","finding_key")
);

-- CreateTable
CREATE TABLE "adjustment" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "trial_id" TEXT NOT NULL,
    "source_file_id" TEXT NOT NULL,
    "position" INTEGER NOT NULL,
    "kind" TEXT NOT NULL,
    "settings" JSONB NOT NULL,
    "reason" TEXT NOT NULL,
    "finding_key" TEXT,
    "state" "adjustment_state" NOT NULL DEFAULT 'active',
    "set_back_because" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "made_at" TIMESTAMPTZ(3) NOT NULL,
    "made_by_id" TEXT NOT NULL,
    "largest_change_c" DOUBLE PRECISION,
    "masked_samples" INTEGER,

    CONSTRAINT "adjustment_pkey" PRIMARY KEY ("id")
);

-- CreateIndex
CREATE INDEX "quality_check_study_id_trial_id_idx" ON "quality_check"("study_id", "trial_id");

-- CreateIndex
CREATE INDEX "finding_study_id_trial_id_idx" ON "finding"("study_id", "trial_id");

-- CreateIndex
CREATE UNIQUE INDEX "finding_study_id_source_file_id_key_key" ON "finding"("study_id", "source_file_id", "key");

-- CreateIndex
CREATE INDEX "adjustment_study_id_source_file_id_position_idx" ON "adjustment"("study_id", "source_file_id", "position");

-- CreateIndex
CREATE INDEX "adjustment_study_id_trial_id_idx" ON "adjustment"("study_id", "trial_id");

-- AddForeignKey
ALTER TABLE "quality_check" ADD CONSTRAINT "quality_check_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "quality_check" ADD CONSTRAINT "quality_check_trial_id_fkey" FOREIGN KEY ("trial_id") REFERENCES "trial"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "quality_check" ADD CONSTRAINT "quality_check_source_file_id_fkey" FOREIGN KEY ("source_file_id") REFERENCES "source_file"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "finding" ADD CONSTRAINT "finding_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "finding" ADD CONSTRAINT "finding_trial_id_fkey" FOREIGN KEY ("trial_id") REFERENCES "trial"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "finding" ADD CONSTRAINT "finding_source_file_id_fkey" FOREIGN KEY ("source_file_id") REFERENCES "source_file"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "finding_decision" ADD CONSTRAINT "finding_decision_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "finding_decision" ADD CONSTRAINT "finding_decision_source_file_id_fkey" FOREIGN KEY ("source_file_id") REFERENCES "source_file"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "adjustment" ADD CONSTRAINT "adjustment_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "adjustment" ADD CONSTRAINT "adjustment_trial_id_fkey" FOREIGN KEY ("trial_id") REFERENCES "trial"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "adjustment" ADD CONSTRAINT "adjustment_source_file_id_fkey" FOREIGN KEY ("source_file_id") REFERENCES "source_file"("id") ON DELETE CASCADE ON UPDATE CASCADE;
