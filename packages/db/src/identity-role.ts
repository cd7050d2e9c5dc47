import { setTimeout as later } from "node:timers/promises";
import type { Database } from "./open-database";

/**
 * Who a person is stands in tables that the usual role of Acral has no right on, not even by mistake. Only a transaction that
 * takes the identity role, by name and for single statements, reads or writes them (packages/api identity/service).
 *
 * Both roles cannot sign in; the user of the connection changes into them. They are the same for every database of a server,
 * the rights are given in each database.
 */
export const usualRole = "acral_app";
export const identityRole = "acral_identity";

/** What identifies people, and what they answered about their health. */
export const identityTables = [
  "identity",
  "identity_search_hash",
  "signed_name",
  "signed_paper",
  "screening_record",
  "screening_clearance",
] as const;

const byHand = (user: string) =>
  `create role ${usualRole} nologin; create role ${identityRole} nologin; grant ${usualRole}, ${identityRole} to "${user}";`;

/**
 * Makes the roles where they are missing, gives and takes rights after every migration, and from here on lets everything but
 * migrations and upkeep run in the usual role.
 *
 * @returns null, or in one line what is missing and what an administrator enters; identity is then apart by the code alone
 */
export function keepIdentityApart(database: Database): Promise<string | null> {
  return database.alone(() => apart(database));
}

async function apart(database: Database): Promise<string | null> {
  const [me] = await database.query("select session_user as name");
  const user = String(me?.name);
  const missing = await makeRoles(database, user);
  if (missing !== null) return missing;
  await database.runScript(rights(database.kind));
  await database.useRole(usualRole);
  return null;
}

async function makeRoles(database: Database, user: string): Promise<string | null> {
  for (let tried = 1; ; tried++) {
    try {
      for (const role of [usualRole, identityRole]) {
        const [there] = await database.query("select 1 as yes from pg_roles where rolname = $1", [role]);
        if (there === undefined) await database.query(`create role ${role} nologin`);
        const [member] = await database.query("select pg_has_role(session_user, $1, 'MEMBER') as yes", [
          role,
        ]);
        if (member?.yes !== true) await database.query(`grant ${role} to current_user`);
      }
      return null;
    } catch (error) {
      const code = sqlState(error);
      if (code === insufficientPrivilege) {
        return `The database user ${user} may not create roles: identity is encrypted and kept apart by Acral itself, but the database would show its (encrypted) tables to every part of Acral. As an administrator of the server enter once: ${byHand(user)} Then start Acral again.`;
      }
      // Two processes that start on one server at the same moment: what one of them made is there for the other.
      if (!madeMeanwhile.has(code) || tried === 10) throw error;
      await later(50 * tried);
    }
  }
}

const insufficientPrivilege = "42501";
/** duplicate_object, unique_violation, and "tuple concurrently updated". */
const madeMeanwhile = new Set(["42710", "23505", "XX000"]);

function sqlState(error: unknown): string {
  return error instanceof Error && "code" in error && typeof error.code === "string" ? error.code : "";
}

function rights(kind: Database["kind"]): string {
  const both = `${usualRole}, ${identityRole}`;
  const tables = identityTables.map((table) => `"${table}"`).join(", ");
  const given = `
    grant usage on schema public to ${both};
    grant select, insert, update, delete on all tables in schema public to ${both};
    grant usage, select on all sequences in schema public to ${both};
    alter default privileges in schema public grant select, insert, update, delete on tables to ${both};
    alter default privileges in schema public grant usage, select on sequences to ${both};
    revoke all on ${tables} from ${usualRole};
    revoke insert, update, delete on "_prisma_migrations" from ${both};`;
  // Upkeep of the embedded database runs in its one session, and hence in the usual role.
  return kind === "server"
    ? given
    : `${given}
    grant maintain on all tables in schema public to ${usualRole};
    grant pg_checkpoint to ${usualRole};
    grant execute on function pg_switch_wal() to ${usualRole};`;
}
