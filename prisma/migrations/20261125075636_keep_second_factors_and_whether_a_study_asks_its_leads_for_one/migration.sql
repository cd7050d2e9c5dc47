-- AlterTable
ALTER TABLE "study" ADD COLUMN     "leads_need_second_factor" BOOLEAN NOT NULL DEFAULT false;

-- CreateTable
CREATE TABLE "second_factor" (
    "user_id" TEXT NOT NULL,
    "sealed_secret" BYTEA NOT NULL,
    "confirmed_at" TIMESTAMPTZ(3),
    "last_step" INTEGER NOT NULL DEFAULT 0,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "second_factor_pkey" PRIMARY KEY ("user_id")
);

-- CreateTable
CREATE TABLE "recovery_code" (
    "code_hash" TEXT NOT NULL,
    "user_id" TEXT NOT NULL,
    "used_at" TIMESTAMPTZ(3),

    CONSTRAINT "recovery_code_pkey" PRIMARY KEY ("code_hash")
);

-- CreateIndex
CREATE INDEX "recovery_code_user_id_idx" ON "recovery_code"("user_id");

-- AddForeignKey
ALTER TABLE "second_factor" ADD CONSTRAINT "second_factor_user_id_fkey" FOREIGN KEY ("user_id") REFERENCES "user_account"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "recovery_code" ADD CONSTRAINT "recovery_code_user_id_fkey" FOREIGN KEY ("user_id") REFERENCES "second_factor"("user_id") ON DELETE CASCADE ON UPDATE CASCADE;
