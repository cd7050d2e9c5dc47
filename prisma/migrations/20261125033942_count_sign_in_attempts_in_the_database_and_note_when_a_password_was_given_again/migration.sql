-- AlterTable
ALTER TABLE "session" ADD COLUMN     "proved_at" TIMESTAMPTZ(3);

-- CreateTable
CREATE TABLE "sign_in_throttle" (
    "key" TEXT NOT NULL,
    "failures" INTEGER NOT NULL,
    "last_at" TIMESTAMPTZ(3) NOT NULL,
    "free_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "sign_in_throttle_pkey" PRIMARY KEY ("key")
);

-- CreateIndex
CREATE INDEX "sign_in_throttle_last_at_idx" ON "sign_in_throttle"("last_at");
