import { TRPCError } from "@trpc/server";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { isStudyAction, mayDo, type StudyAction } from "../src/access/policy";
import type { Actor } from "../src/access/service";
import { appRouter } from "../src/root-router";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { type Inputs, ids, queryInputs, recordsNamedIn } from "./access-inputs";
import { drives } from "./mutation-drives";
import { type ReadyStudy, readyStudy } from "./ready-study";
import { withSecondFactor } from "./second-factor-codes";

/**
 * Every procedure of a study, asked by everybody there is: the four roles, somebody without a role, and nobody who is signed
 * in; in their own study and in another. What is sent is right in every other way, so that an answer is an answer to the
 * person: mutations are driven by `mutation-drives.ts`, queries by `access-inputs.ts`.
 *
 * `role-table.test.ts` holds the table itself to what was agreed, this one holds every procedure to the table.
 */
const roles = ["lead_investigator", "operator", "analyst", "observer"] as const;

const byPath = appRouter._def.procedures as unknown as Record<string, { _def: { type: string } }>;
const ofStudies = Object.keys(byPath).filter(isStudyAction);
const queries = ofStudies.filter((path) => byPath[path]?._def.type === "query");
const mutations = ofStudies.filter((path) => byPath[path]?._def.type === "mutation");

type Callable = (input: unknown) => Promise<unknown>;

/** What the browser would be told: the code, and for a refusal every word and detail of it. */
interface Answer {
  readonly code: string;
  readonly body: string;
}

async function ask(test: TestCore, actor: Actor | null, path: string, input: Inputs): Promise<Answer> {
  const [noun = "", verb = ""] = path.split(".");
  const nouns = test.caller(actor) as unknown as Record<string, Record<string, Callable>>;
  const procedure = nouns[noun]?.[verb];
  if (procedure === undefined) throw new Error(`there is no procedure ${path}`);
  try {
    await procedure(input);
    return { code: "answered", body: "" };
  } catch (error) {
    if (!(error instanceof TRPCError)) throw error;
    const cause: unknown = error.cause;
    const said = cause instanceof Error ? { ...cause, message: cause.message } : null;
    return { code: error.code, body: JSON.stringify([error.message, said]) };
  }
}

describe("what is asked below", () => {
  it("covers every procedure of a study", () => {
    expect(queries.filter((path) => !(path in queryInputs))).toEqual([]);
    expect(Object.keys(queryInputs).filter((path) => !queries.some((query) => query === path))).toEqual([]);
    expect(mutations.filter((path) => !(path in drives))).toEqual([]);
    expect(ofStudies.length).toBe(queries.length + mutations.length);
  });
});

describe.each(testDatabaseKinds())("everybody, on $name", (kind) => {
  let test: TestCore;
  let own: ReadyStudy;
  let other: ReadyStudy;
  let known: Inputs;
  let stranger: Actor;
  const members = new Map<string, Actor>();

  async function memberOf(studyId: string, role: (typeof roles)[number]): Promise<Actor> {
    const key = `${studyId} ${role}`;
    const member = members.get(key) ?? (await test.member(studyId, `The ${role}`, role));
    members.set(key, member);
    return member;
  }

  beforeAll(async () => {
    test = await openTestCore(kind);
    own = await readyStudy(test);
    other = await readyStudy(test);
    stranger = await test.person("Somebody without a role");
    known = await ids(own, test);
  }, 120_000);
  afterAll(() => test.close());

  /** Refused before anything is done: whoever has no business here, and whoever asks for another study's object. */
  async function refusals(path: StudyAction, input: Inputs): Promise<void> {
    const nowhere = { ...input, studyId: "no-such-study" };
    const unknown = await ask(test, stranger, path, nowhere);
    expect(unknown.code, "a study that does not exist").toBe("NOT_FOUND");
    expect(await ask(test, null, path, input), "nobody signed in").toMatchObject({ code: "UNAUTHORIZED" });
    expect(await ask(test, stranger, path, input), "no role").toEqual(unknown);
    for (const role of roles) {
      const elsewhere = await memberOf(other.studyId, role);
      expect(await ask(test, elsewhere, path, input), `${role} of another study`).toEqual(unknown);
      expect(await ask(test, elsewhere, path, nowhere), `${role}, no such study`).toEqual(unknown);
    }
    for (const role of roles.filter((candidate) => !mayDo(candidate, path))) {
      const actor = await memberOf(String(input.studyId), role);
      expect((await ask(test, actor, path, input)).code, role).toBe("FORBIDDEN");
    }
    // Somebody who may do this in their own study, and names an object of this one.
    const named = recordsNamedIn(input);
    if (named.length === 0) return;
    const theirs = { ...input, studyId: other.studyId };
    const missing = { ...theirs, ...Object.fromEntries(named.map((key) => [key, "no-such-record"])) };
    for (const role of roles.filter((candidate) => mayDo(candidate, path))) {
      const elsewhere = await memberOf(other.studyId, role);
      const absent = await ask(test, elsewhere, path, missing);
      expect(absent.code, `${role}, an object that does not exist`).toBe("NOT_FOUND");
      expect(await ask(test, elsewhere, path, theirs), `${role}, another study's object`).toEqual(absent);
    }
  }

  it.each(queries)("%s", async (path) => {
    const prepare = queryInputs[path];
    if (prepare === undefined) throw new Error(`nothing is said to ask ${path} with`);
    const input = { studyId: own.studyId, ...prepare(known) };
    await refusals(path, input);
    for (const role of roles.filter((candidate) => mayDo(candidate, path))) {
      const actor = await memberOf(own.studyId, role);
      expect(await ask(test, actor, path, input), role).toEqual({ code: "answered", body: "" });
    }
  });

  it.each(mutations)("%s", async (path) => {
    const drive = drives[path];
    if (drive === undefined) throw new Error(`there is no drive of ${path}`);
    const allowed = roles.filter((role) => mayDo(role, path));
    expect(allowed.length).toBeGreaterThan(0);
    for (const [index, role] of allowed.entries()) {
      const { input } = await drive({ test, study: async () => own });
      if (index === 0) await refusals(path, input);
      const actor = await memberOf(String(input.studyId), role);
      // It is asked of others only by somebody who has it.
      if (path === "study.requireSecondFactor") await withSecondFactor(test, actor);
      expect(await ask(test, actor, path, input), role).toEqual({ code: "answered", body: "" });
    }
  });
});
