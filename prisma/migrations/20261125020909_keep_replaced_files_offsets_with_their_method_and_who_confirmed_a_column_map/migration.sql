-- AlterEnum
ALTER TYPE "source_file_state" ADD VALUE 'replaced';

-- AlterTable
ALTER TABLE "column_map" ADD COLUMN     "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
ADD COLUMN     "revision" INTEGER NOT NULL DEFAULT 1,
ADD COLUMN     "updated_by_id" TEXT;

-- AlterTable
ALTER TABLE "source_file" ADD COLUMN     "replaced_at" TIMESTAMPTZ(3),
ADD COLUMN     "replaced_by_id" TEXT,
ADD COLUMN     "replaced_reason" TEXT,
ADD COLUMN     "successor_id" TEXT;

-- CreateTable
CREATE TABLE "file_offset" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "source_file_id" TEXT NOT NULL,
    "place" INTEGER NOT NULL,
    "offset_s" DOUBLE PRECISION NOT NULL,
    "method" JSONB NOT NULL,
    "set_at" TIMESTAMPTZ(3) NOT NULL,
    "set_by_id" TEXT NOT NULL,

    CONSTRAINT "file_offset_pkey" PRIMARY KEY ("id")
);

-- CreateIndex
CREATE UNIQUE INDEX "file_offset_study_id_source_file_id_place_key" ON "file_offset"("study_id", "source_file_id", "place");

-- CreateIndex
CREATE INDEX "source_file_study_id_fingerprint_idx" ON "source_file"("study_id", "fingerprint");

-- AddForeignKey
ALTER TABLE "file_offset" ADD CONSTRAINT "file_offset_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "file_offset" ADD CONSTRAINT "file_offset_source_file_id_fkey" FOREIGN KEY ("source_file_id") REFERENCES "source_file"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "source_file" ADD CONSTRAINT "source_file_successor_id_fkey" FOREIGN KEY ("successor_id") REFERENCES "source_file"("id") ON DELETE NO ACTION ON UPDATE CASCADE;
