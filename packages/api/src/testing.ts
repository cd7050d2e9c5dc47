import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { folderBlobStore, keepIdentityApart, type Role } from "@acral/db";
import type { TestDatabaseKind } from "@acral/db/testing";
import type { Actor } from "./access/service";
import { buildCore, type Core } from "./core";
import { readEnvironment } from "./environment";
import { newId } from "./identifiers";
import { createCaller } from "./root-router";

export { testDatabaseKinds } from "@acral/db/testing";

/** A core over an empty database, with a clock that tests set. */
export interface TestCore {
  readonly core: Core;
  /** Sets what the server takes for now. */
  setNow(date: Date): void;
  /** Makes an account (without a usable password) and returns the person. */
  person(name: string): Promise<Actor>;
  caller(actor: Actor | null): ReturnType<typeof createCaller>;
  /** A study led by the person. */
  study(lead: Actor, title?: string): Promise<string>;
  member(studyId: string, name: string, role: Role): Promise<Actor>;
  close(): Promise<void>;
}

export async function openTestCore(kind: TestDatabaseKind): Promise<TestCore> {
  const database = await kind.open();
  const missing = await keepIdentityApart(database);
  if (missing !== null) throw new Error(missing);
  const dataDir = mkdtempSync(join(tmpdir(), "acral-api-"));
  let now: Date | null = null;
  const environment = readEnvironment({ ACRAL_DATA_DIR: dataDir });
  const core = buildCore(
    environment,
    database,
    folderBlobStore(join(dataDir, "blobs")),
    () => now ?? new Date(),
  );
  const caller = (actor: Actor | null) => createCaller({ core, actor });
  const person = async (name: string): Promise<Actor> => {
    const userId = newId();
    const email = `${userId.toLowerCase()}@example.org`;
    await database.prisma.user.create({ data: { id: userId, name, email } });
    // A proof that never grows old, so that tests of other things need not give a password.
    const session = { id: newId(), provedAt: new Date("9999-01-01T00:00:00Z") };
    return { userId, name, email, session };
  };
  return {
    core,
    setNow(date) {
      now = date;
    },
    person,
    caller,
    async study(lead, title = "A study for a test") {
      return (await caller(lead).study.create({ title })).studyId;
    },
    async member(studyId, name, role) {
      const actor = await person(name);
      await database.prisma.membership.create({ data: { studyId, userId: actor.userId, role } });
      return actor;
    },
    close: () => database.close(),
  };
}
