-- The effect of a withdrawal is always chosen. A purpose of links that none was ever made for goes: own data are handed out by
-- the own page. Writes volunteer_link anew, a row per link, and holds it meanwhile.
ALTER TABLE "withdrawal" ALTER COLUMN "effect" DROP DEFAULT;

ALTER TYPE "link_purpose" RENAME TO "link_purpose_old";
CREATE TYPE "link_purpose" AS ENUM ('sign', 'own', 'invitation');
ALTER TABLE "volunteer_link" ALTER COLUMN "purpose" TYPE "link_purpose" USING ("purpose"::text::"link_purpose");
DROP TYPE "link_purpose_old";
