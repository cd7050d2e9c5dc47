-- CreateEnum
CREATE TYPE "consent_form_state" AS ENUM ('draft', 'in_force', 'retired');

-- CreateEnum
CREATE TYPE "protocol_state" AS ENUM ('draft', 'in_force', 'retired');

-- CreateEnum
CREATE TYPE "source_file_state" AS ENUM ('received', 'read');

-- CreateEnum
CREATE TYPE "role" AS ENUM ('lead_investigator', 'operator', 'analyst', 'observer');

-- CreateEnum
CREATE TYPE "trial_state" AS ENUM ('planned', 'recorded', 'checked', 'accepted', 'set_aside');

-- CreateEnum
CREATE TYPE "sex" AS ENUM ('female', 'male', 'other', 'not_stated');

-- CreateTable
CREATE TABLE "user_account" (
    "id" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "email" TEXT NOT NULL,
    "email_verified" BOOLEAN NOT NULL DEFAULT false,
    "image" TEXT,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updated_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "user_account_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "session" (
    "id" TEXT NOT NULL,
    "token" TEXT NOT NULL,
    "user_id" TEXT NOT NULL,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,
    "ip_address" TEXT,
    "user_agent" TEXT,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updated_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "session_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "account" (
    "id" TEXT NOT NULL,
    "account_id" TEXT NOT NULL,
    "provider_id" TEXT NOT NULL,
    "user_id" TEXT NOT NULL,
    "access_token" TEXT,
    "refresh_token" TEXT,
    "id_token" TEXT,
    "access_token_expires_at" TIMESTAMPTZ(3),
    "refresh_token_expires_at" TIMESTAMPTZ(3),
    "scope" TEXT,
    "password" TEXT,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updated_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "account_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "verification" (
    "id" TEXT NOT NULL,
    "identifier" TEXT NOT NULL,
    "value" TEXT NOT NULL,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updated_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "verification_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "first_account_code" (
    "id" INTEGER NOT NULL DEFAULT 1,
    "code_hash" TEXT NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "first_account_code_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "comparison" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "settings" JSONB NOT NULL,
    "answer" JSONB,
    "input_hash" TEXT,
    "answered_at" TIMESTAMPTZ(3),
    "revision" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "created_by_id" TEXT NOT NULL,

    CONSTRAINT "comparison_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "consent_form" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "version" INTEGER NOT NULL,
    "state" "consent_form_state" NOT NULL DEFAULT 'draft',
    "title" TEXT NOT NULL,
    "text" TEXT NOT NULL,
    "permissions" JSONB NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "in_force_at" TIMESTAMPTZ(3),
    "retired_at" TIMESTAMPTZ(3),

    CONSTRAINT "consent_form_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "consent_record" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "consent_form_id" TEXT NOT NULL,
    "signed_at" TIMESTAMPTZ(3) NOT NULL,
    "name_as_signed_cipher" BYTEA NOT NULL,
    "key_version" INTEGER NOT NULL,
    "decisions" JSONB NOT NULL,
    "taken_by_id" TEXT NOT NULL,
    "taken_by_name" TEXT NOT NULL,
    "recorded_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "consent_record_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "withdrawal" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "permission" TEXT,
    "effective_at" TIMESTAMPTZ(3) NOT NULL,
    "reason" TEXT NOT NULL DEFAULT '',
    "recorded_by_id" TEXT NOT NULL,
    "recorded_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "withdrawal_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "protocol" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "version" INTEGER NOT NULL,
    "state" "protocol_state" NOT NULL DEFAULT 'draft',
    "content" JSONB NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "in_force_at" TIMESTAMPTZ(3),
    "retired_at" TIMESTAMPTZ(3),

    CONSTRAINT "protocol_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "release" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "number" INTEGER NOT NULL,
    "reason" TEXT NOT NULL,
    "rule" JSONB NOT NULL,
    "report" JSONB NOT NULL,
    "sha256" TEXT NOT NULL,
    "size_bytes" INTEGER NOT NULL,
    "made_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "made_by_id" TEXT NOT NULL,

    CONSTRAINT "release_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "release_volunteer" (
    "study_id" TEXT NOT NULL,
    "release_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,

    CONSTRAINT "release_volunteer_pkey" PRIMARY KEY ("study_id","release_id","volunteer_id")
);

-- CreateTable
CREATE TABLE "source_file" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "trial_id" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "size_bytes" INTEGER NOT NULL,
    "sha256" TEXT NOT NULL,
    "state" "source_file_state" NOT NULL DEFAULT 'received',
    "fingerprint" TEXT,
    "column_map" JSONB,
    "report" JSONB,
    "reader_version" TEXT,
    "started_at" TEXT,
    "offset_s" DOUBLE PRECISION NOT NULL DEFAULT 0,
    "regular" BOOLEAN,
    "start_s" DOUBLE PRECISION,
    "step_s" DOUBLE PRECISION,
    "count" INTEGER,
    "times_s" BYTEA,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "uploaded_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "uploaded_by_id" TEXT NOT NULL,

    CONSTRAINT "source_file_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "column_map" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "fingerprint" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "map" JSONB NOT NULL,
    "updated_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "column_map_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "trace" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "trial_id" TEXT NOT NULL,
    "source_file_id" TEXT NOT NULL,
    "column_index" INTEGER NOT NULL,
    "column_name" TEXT NOT NULL,
    "region_id" TEXT,
    "statistic" TEXT,
    "channel" TEXT,
    "unit" TEXT NOT NULL,
    "missing" INTEGER NOT NULL,
    "data" BYTEA NOT NULL,

    CONSTRAINT "trace_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "study" (
    "id" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "summary" TEXT NOT NULL DEFAULT '',
    "smallest_group" INTEGER NOT NULL DEFAULT 3,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "study_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "membership" (
    "study_id" TEXT NOT NULL,
    "user_id" TEXT NOT NULL,
    "role" "role" NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "membership_pkey" PRIMARY KEY ("study_id","user_id")
);

-- CreateTable
CREATE TABLE "invitation" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "email" TEXT NOT NULL,
    "role" "role" NOT NULL,
    "token_hash" TEXT NOT NULL,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,
    "accepted_at" TIMESTAMPTZ(3),
    "revoked_at" TIMESTAMPTZ(3),
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "created_by_id" TEXT NOT NULL,

    CONSTRAINT "invitation_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "audit_entry" (
    "id" BIGSERIAL NOT NULL,
    "study_id" TEXT,
    "at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "actor_id" TEXT,
    "actor_name" TEXT NOT NULL,
    "action" TEXT NOT NULL,
    "subject_kind" TEXT NOT NULL,
    "subject_id" TEXT NOT NULL,
    "subject_label" TEXT NOT NULL,
    "before" JSONB,
    "after" JSONB,
    "reason" TEXT,

    CONSTRAINT "audit_entry_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "trial" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "protocol_id" TEXT NOT NULL,
    "condition_key" TEXT NOT NULL,
    "occasion" INTEGER NOT NULL,
    "attempt" INTEGER NOT NULL DEFAULT 1,
    "state" "trial_state" NOT NULL DEFAULT 'planned',
    "planned_for" TIMESTAMPTZ(3),
    "air_temperature_c" DOUBLE PRECISION,
    "mean_radiant_temperature_c" DOUBLE PRECISION,
    "relative_humidity_pct" DOUBLE PRECISION,
    "air_speed_m_s" DOUBLE PRECISION,
    "set_aside_reason" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "state_changed_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "trial_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "marker" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "trial_id" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "phase_key" TEXT,
    "at_s" DOUBLE PRECISION NOT NULL,

    CONSTRAINT "marker_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "aligned_trace" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "trial_id" TEXT NOT NULL,
    "series" TEXT NOT NULL,
    "statistic" TEXT,
    "unit" TEXT NOT NULL,
    "from_s" DOUBLE PRECISION NOT NULL,
    "bin_s" DOUBLE PRECISION NOT NULL,
    "count" INTEGER NOT NULL,
    "mean" BYTEA NOT NULL,
    "coverage" BYTEA NOT NULL,
    "input_hash" TEXT NOT NULL,

    CONSTRAINT "aligned_trace_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "measure" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "trial_id" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "region_id" TEXT,
    "value" DOUBLE PRECISION,
    "unit" TEXT NOT NULL,
    "unavailable" TEXT,
    "input_hash" TEXT NOT NULL,
    "analysis_version" TEXT NOT NULL,

    CONSTRAINT "measure_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "volunteer" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "sex" "sex" NOT NULL DEFAULT 'not_stated',
    "birth_year" INTEGER,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "registered_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "volunteer_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "identity" (
    "volunteer_id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "name_cipher" BYTEA,
    "contact_cipher" BYTEA,
    "date_of_birth_cipher" BYTEA,
    "key_version" INTEGER NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "updated_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "identity_pkey" PRIMARY KEY ("volunteer_id")
);

-- CreateTable
CREATE TABLE "body_measures" (
    "id" TEXT NOT NULL,
    "study_id" TEXT NOT NULL,
    "volunteer_id" TEXT NOT NULL,
    "measured_on" DATE NOT NULL,
    "height_cm" DOUBLE PRECISION NOT NULL,
    "mass_kg" DOUBLE PRECISION NOT NULL,
    "skinfolds_mm" JSONB,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "body_measures_pkey" PRIMARY KEY ("id")
);

-- CreateIndex
CREATE UNIQUE INDEX "user_account_email_key" ON "user_account"("email");

-- CreateIndex
CREATE UNIQUE INDEX "session_token_key" ON "session"("token");

-- CreateIndex
CREATE INDEX "session_user_id_idx" ON "session"("user_id");

-- CreateIndex
CREATE INDEX "account_user_id_idx" ON "account"("user_id");

-- CreateIndex
CREATE INDEX "verification_identifier_idx" ON "verification"("identifier");

-- CreateIndex
CREATE INDEX "comparison_study_id_created_at_idx" ON "comparison"("study_id", "created_at");

-- CreateIndex
CREATE UNIQUE INDEX "consent_form_study_id_version_key" ON "consent_form"("study_id", "version");

-- CreateIndex
CREATE INDEX "consent_record_study_id_volunteer_id_signed_at_idx" ON "consent_record"("study_id", "volunteer_id", "signed_at");

-- CreateIndex
CREATE INDEX "withdrawal_study_id_volunteer_id_effective_at_idx" ON "withdrawal"("study_id", "volunteer_id", "effective_at");

-- CreateIndex
CREATE UNIQUE INDEX "protocol_study_id_version_key" ON "protocol"("study_id", "version");

-- CreateIndex
CREATE UNIQUE INDEX "release_study_id_number_key" ON "release"("study_id", "number");

-- CreateIndex
CREATE INDEX "release_volunteer_study_id_volunteer_id_idx" ON "release_volunteer"("study_id", "volunteer_id");

-- CreateIndex
CREATE INDEX "source_file_study_id_trial_id_idx" ON "source_file"("study_id", "trial_id");

-- CreateIndex
CREATE UNIQUE INDEX "source_file_study_id_sha256_key" ON "source_file"("study_id", "sha256");

-- CreateIndex
CREATE UNIQUE INDEX "column_map_study_id_fingerprint_key" ON "column_map"("study_id", "fingerprint");

-- CreateIndex
CREATE INDEX "trace_study_id_trial_id_idx" ON "trace"("study_id", "trial_id");

-- CreateIndex
CREATE INDEX "membership_user_id_idx" ON "membership"("user_id");

-- CreateIndex
CREATE UNIQUE INDEX "invitation_token_hash_key" ON "invitation"("token_hash");

-- CreateIndex
CREATE INDEX "invitation_study_id_created_at_idx" ON "invitation"("study_id", "created_at");

-- CreateIndex
CREATE INDEX "audit_entry_study_id_id_idx" ON "audit_entry"("study_id", "id");

-- CreateIndex
CREATE INDEX "trial_study_id_state_idx" ON "trial"("study_id", "state");

-- CreateIndex
CREATE UNIQUE INDEX "trial_study_id_volunteer_id_condition_key_occasion_attempt_key" ON "trial"("study_id", "volunteer_id", "condition_key", "occasion", "attempt");

-- CreateIndex
CREATE INDEX "marker_study_id_trial_id_at_s_idx" ON "marker"("study_id", "trial_id", "at_s");

-- CreateIndex
CREATE INDEX "aligned_trace_study_id_series_idx" ON "aligned_trace"("study_id", "series");

-- CreateIndex
CREATE UNIQUE INDEX "aligned_trace_study_id_trial_id_series_statistic_key" ON "aligned_trace"("study_id", "trial_id", "series", "statistic");

-- CreateIndex
CREATE INDEX "measure_study_id_trial_id_idx" ON "measure"("study_id", "trial_id");

-- CreateIndex
CREATE INDEX "measure_study_id_name_region_id_idx" ON "measure"("study_id", "name", "region_id");

-- CreateIndex
CREATE UNIQUE INDEX "volunteer_study_id_code_key" ON "volunteer"("study_id", "code");

-- CreateIndex
CREATE INDEX "identity_study_id_volunteer_id_idx" ON "identity"("study_id", "volunteer_id");

-- CreateIndex
CREATE INDEX "body_measures_study_id_volunteer_id_measured_on_idx" ON "body_measures"("study_id", "volunteer_id", "measured_on");

-- AddForeignKey
ALTER TABLE "session" ADD CONSTRAINT "session_user_id_fkey" FOREIGN KEY ("user_id") REFERENCES "user_account"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "account" ADD CONSTRAINT "account_user_id_fkey" FOREIGN KEY ("user_id") REFERENCES "user_account"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "comparison" ADD CONSTRAINT "comparison_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "consent_form" ADD CONSTRAINT "consent_form_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "consent_record" ADD CONSTRAINT "consent_record_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "consent_record" ADD CONSTRAINT "consent_record_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "consent_record" ADD CONSTRAINT "consent_record_consent_form_id_fkey" FOREIGN KEY ("consent_form_id") REFERENCES "consent_form"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "withdrawal" ADD CONSTRAINT "withdrawal_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "withdrawal" ADD CONSTRAINT "withdrawal_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "protocol" ADD CONSTRAINT "protocol_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "release" ADD CONSTRAINT "release_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "release_volunteer" ADD CONSTRAINT "release_volunteer_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "release_volunteer" ADD CONSTRAINT "release_volunteer_release_id_fkey" FOREIGN KEY ("release_id") REFERENCES "release"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "release_volunteer" ADD CONSTRAINT "release_volunteer_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "source_file" ADD CONSTRAINT "source_file_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "source_file" ADD CONSTRAINT "source_file_trial_id_fkey" FOREIGN KEY ("trial_id") REFERENCES "trial"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "column_map" ADD CONSTRAINT "column_map_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "trace" ADD CONSTRAINT "trace_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "trace" ADD CONSTRAINT "trace_trial_id_fkey" FOREIGN KEY ("trial_id") REFERENCES "trial"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "trace" ADD CONSTRAINT "trace_source_file_id_fkey" FOREIGN KEY ("source_file_id") REFERENCES "source_file"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "membership" ADD CONSTRAINT "membership_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "membership" ADD CONSTRAINT "membership_user_id_fkey" FOREIGN KEY ("user_id") REFERENCES "user_account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "invitation" ADD CONSTRAINT "invitation_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "audit_entry" ADD CONSTRAINT "audit_entry_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "trial" ADD CONSTRAINT "trial_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "trial" ADD CONSTRAINT "trial_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "trial" ADD CONSTRAINT "trial_protocol_id_fkey" FOREIGN KEY ("protocol_id") REFERENCES "protocol"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "marker" ADD CONSTRAINT "marker_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "marker" ADD CONSTRAINT "marker_trial_id_fkey" FOREIGN KEY ("trial_id") REFERENCES "trial"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "aligned_trace" ADD CONSTRAINT "aligned_trace_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "aligned_trace" ADD CONSTRAINT "aligned_trace_trial_id_fkey" FOREIGN KEY ("trial_id") REFERENCES "trial"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "measure" ADD CONSTRAINT "measure_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "measure" ADD CONSTRAINT "measure_trial_id_fkey" FOREIGN KEY ("trial_id") REFERENCES "trial"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "volunteer" ADD CONSTRAINT "volunteer_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "identity" ADD CONSTRAINT "identity_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "identity" ADD CONSTRAINT "identity_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "body_measures" ADD CONSTRAINT "body_measures_study_id_fkey" FOREIGN KEY ("study_id") REFERENCES "study"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "body_measures" ADD CONSTRAINT "body_measures_volunteer_id_fkey" FOREIGN KEY ("volunteer_id") REFERENCES "volunteer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: a schema cannot say it.

-- The audit trail and releases are append-only, whoever writes to the database.
CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'a row of % is never changed or removed', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$;

CREATE TRIGGER audit_entry_is_append_only BEFORE UPDATE OR DELETE ON "audit_entry"
  FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER audit_entry_is_never_emptied BEFORE TRUNCATE ON "audit_entry"
  FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER release_is_immutable BEFORE UPDATE OR DELETE ON "release"
  FOR EACH ROW EXECUTE FUNCTION refuse_change();

-- A protocol in force no longer changes: a change is a new version. Only its state may move on.
CREATE FUNCTION refuse_protocol_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF OLD.state <> 'draft' AND (NEW.content IS DISTINCT FROM OLD.content OR NEW.version <> OLD.version OR NEW.state = 'draft') THEN
    RAISE EXCEPTION 'protocol version % is no longer a draft and cannot change', OLD.version USING ERRCODE = 'restrict_violation';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER protocol_in_force_is_fixed BEFORE UPDATE ON "protocol"
  FOR EACH ROW EXECUTE FUNCTION refuse_protocol_change();

-- The same holds for a consent form: people signed exactly this text.
CREATE FUNCTION refuse_consent_form_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF OLD.state <> 'draft' AND (NEW.text IS DISTINCT FROM OLD.text OR NEW.title IS DISTINCT FROM OLD.title
      OR NEW.permissions IS DISTINCT FROM OLD.permissions OR NEW.version <> OLD.version OR NEW.state = 'draft') THEN
    RAISE EXCEPTION 'consent form version % is no longer a draft and cannot change', OLD.version USING ERRCODE = 'restrict_violation';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER consent_form_in_force_is_fixed BEFORE UPDATE ON "consent_form"
  FOR EACH ROW EXECUTE FUNCTION refuse_consent_form_change();

-- One protocol and one consent form are in force at a time.
CREATE UNIQUE INDEX "protocol_one_in_force" ON "protocol" ("study_id") WHERE "state" = 'in_force';
CREATE UNIQUE INDEX "consent_form_one_in_force" ON "consent_form" ("study_id") WHERE "state" = 'in_force';

-- One volunteer does a condition's occasion in one trial that counts; those set aside do not count.
CREATE UNIQUE INDEX "trial_one_that_counts" ON "trial" ("study_id", "volunteer_id", "condition_key", "occasion")
  WHERE "state" <> 'set_aside';
