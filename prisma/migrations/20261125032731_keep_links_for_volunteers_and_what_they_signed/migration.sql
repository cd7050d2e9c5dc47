-- CreateEnum
CREATE TYPE "consent_way" AS ENUM ('paper', 'here', 'own_device');

-- CreateEnum
CREATE TYPE "withdrawal_effect" AS ENUM ('stop', 'exclude');

-- CreateEnum
CREATE TYPE "signed_paper_kind" AS ENUM ('signature', 'scan', 'copy');

-- CreateEnum
CREATE TYPE "link_purpose" AS ENUM ('sign', 'own', 'invitation', 'own_data');

-- AlterTable
ALTER TABLE "consent_record" ADD COLUMN     "countersigned_at" TIMESTAMPTZ(3),
ADD COLUMN     "countersigned_by_id" TEXT,
ADD COLUMN     "countersigned_by_name" TEXT,
ADD COLUMN     "way" "consent_way" NOT NULL DEFAULT 'paper';

-- AlterTable
ALTER TABLE "withdrawal" ADD COLUMN     "effect" "withdrawal_effect" NOT NULL DEFAULT 'exclude',
ALTER COLUMN "recorded_by_id" DROP NOT NULL;

-- CreateTable
CREATE TABLE "signed_paper" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "consent_record_id" TEXT NOT NULL,
    "kind" "signed_paper_kind" NOT NULL,
    "sha256" TEXT NOT NULL,
    "media_type" TEXT NOT NULL,
    "size_bytes" INTEGER NOT NULL,
    "key_cipher" BYTEA NOT NULL,
    "key_version" INTEGER NOT NULL,
    "added_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "signed_paper_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "volunteer_link" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "purpose" "link_purpose" NOT NULL,
    "here" BOOLEAN NOT NULL DEFAULT false,
    "token_hash" TEXT NOT NULL,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,
    "used_at" TIMESTAMPTZ(3),
    "revoked_at" TIMESTAMPTZ(3),
    "created_at" TIMESTAMPTZ(3) NOT NULL,
    "created_by_id" TEXT NOT NULL,
    "created_by_name" TEXT NOT NULL,

    CONSTRAINT "volunteer_link_pkey" PRIMARY KEY ("id")
);

-- CreateIndex
CREATE INDEX "signed_paper_study_id_volunteer_id_idx" ON "signed_paper"("study_id", "volunteer_id");

-- CreateIndex
CREATE INDEX "signed_paper_sha256_idx" ON "signed_paper"("sha256");

-- CreateIndex
CREATE UNIQUE INDEX "volunteer_link_token_hash_key" ON "volunteer_link"("token_hash");

-- CreateIndex
CREATE INDEX "volunteer_link_study_id_volunteer_id_created_at_idx" ON "volunteer_link"("study_id", "volunteer_id", "created_at");

-- AddForeignKey
ALTER TABLE "signed_paper" ADD CONSTRAINT "signed_paper_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "signed_paper" ADD CONSTRAINT "signed_paper_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "signed_paper" ADD CONSTRAINT "signed_paper_consent_record_id_fkey" FOREIGN KEY ("consent_record_id") REFERENCES "consent_record"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "volunteer_link" ADD CONSTRAINT "volunteer_link_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "volunteer_link" ADD CONSTRAINT "volunteer_link_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: nothing is entered about a volunteer who was erased.
CREATE TRIGGER signed_paper_is_of_nobody_erased BEFORE INSERT ON "signed_paper"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
CREATE TRIGGER volunteer_link_is_of_nobody_erased BEFORE INSERT ON "volunteer_link"
  FOR EACH ROW EXECUTE FUNCTION refuse_about_erased();
