-- AlterTable
ALTER TABLE "finding" ADD COLUMN     "what_can_be_done" TEXT NOT NULL;
