-- CreateTable
CREATE TABLE "imaging_record" (
    "trial_id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "content" JSONB NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "saved_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "imaging_record_pkey" PRIMARY KEY ("trial_id")
);

-- CreateIndex
CREATE INDEX "imaging_record_study_id_trial_id_idx" ON "imaging_record"("study_id", "trial_id");

-- AddForeignKey
ALTER TABLE "imaging_record" ADD CONSTRAINT "imaging_record_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "imaging_record" ADD CONSTRAINT "imaging_record_trial_id_fkey" FOREIGN KEY ("trial_id") REFERENCES "trial"("id") ON DELETE CASCADE ON UPDATE CASCADE;
