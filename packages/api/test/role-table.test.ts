import { TRPCError } from "@trpc/server";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { isStudyAction, mayDo, roleTable, type StudyAction } from "../src/access/policy";
import type { Actor } from "../src/access/service";
import { AppError } from "../src/app-error";
import { appRouter } from "../src/root-router";
import { openScope } from "../src/scope";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";

const roles = ["lead_investigator", "operator", "analyst", "observer"] as const;

/** What belongs to no study, and who may call it. */
const outsideStudies: Record<string, "anybody" | "signed in"> = {
  "account.me": "anybody",
  "account.firstAccountIsOpen": "anybody",
  "account.createFirst": "anybody",
  "account.invitation": "anybody",
  "account.acceptInvitation": "anybody",
  "account.joinStudy": "signed in",
  "forYou.read": "anybody",
  "forYou.sign": "anybody",
  "forYou.own": "anybody",
  "forYou.invitation": "anybody",
  "forYou.statePreferences": "anybody",
  "forYou.withdraw": "anybody",
  "forYou.erase": "anybody",
  "session.list": "signed in",
  "session.end": "signed in",
  "session.endOthers": "signed in",
  "session.prove": "signed in",
  "session.requireProof": "signed in",
  "secondFactor.state": "signed in",
  "secondFactor.begin": "signed in",
  "secondFactor.confirm": "signed in",
  "secondFactor.renewRecoveryCodes": "signed in",
  "secondFactor.remove": "signed in",
  "study.list": "signed in",
  "study.create": "signed in",
};

/** Plain HTTP routes: they go through the same table by `openScope`. */
const routesWithoutProcedure = [
  "file.upload",
  "file.download",
  "ownData.export",
  "release.download",
  "audit.export",
  "consent.openPaper",
  "consent.addScan",
] as const;

/**
 * Who may do what, written down a second time on purpose (l lead investigator, o operator, a analyst, b observer): a right
 * that is given to one role more has to be given here as well, where it is read as what it is.
 */
const agreed: Record<StudyAction, string> = {
  "study.get": "loab",
  "study.overview": "loab",
  "study.update": "l",
  "study.requireSecondFactor": "l",
  "team.list": "loab",
  "team.invite": "l",
  "team.revokeInvitation": "l",
  "team.changeRole": "l",
  "team.remove": "l",
  "protocol.list": "loab",
  "protocol.get": "loab",
  "protocol.startDraft": "l",
  "protocol.saveDraft": "l",
  "protocol.discardDraft": "l",
  "protocol.putInForce": "l",
  "volunteer.list": "loab",
  "volunteer.get": "loab",
  "volunteer.register": "lo",
  "volunteer.update": "lo",
  "volunteer.addBodyMeasures": "lo",
  "volunteer.removeBodyMeasures": "lo",
  "identity.reveal": "lo",
  "identity.find": "lo",
  "identity.save": "lo",
  "erasure.ofVolunteer": "loab",
  "erasure.erase": "l",
  "retention.due": "loab",
  "retention.savePlan": "l",
  "retention.remove": "l",
  "consent.forms": "loab",
  "consent.form": "loab",
  "consent.askAgain": "loab",
  "consent.startForm": "l",
  "consent.saveForm": "l",
  "consent.discardForm": "l",
  "consent.putFormInForce": "l",
  "consent.ofVolunteer": "loab",
  "consent.record": "lo",
  "consent.withdraw": "lo",
  "consent.countersign": "lo",
  "invitationText.get": "loab",
  "invitationText.save": "l",
  "preference.ofVolunteer": "loab",
  "preference.save": "lo",
  "screening.sets": "loab",
  "screening.startSet": "l",
  "screening.saveSet": "l",
  "screening.discardSet": "l",
  "screening.putSetInForce": "l",
  "screening.ofVolunteer": "loab",
  "screening.record": "lo",
  "screening.recordClearance": "lo",
  "screening.showAnswers": "lo",
  "volunteerLink.list": "lo",
  "volunteerLink.make": "lo",
  "volunteerLink.revoke": "lo",
  "trial.list": "loab",
  "trial.get": "loab",
  "trial.plan": "lo",
  "trial.saveRoom": "lo",
  "trial.saveMarkers": "lo",
  "trial.discard": "lo",
  "trial.course": "loab",
  "trial.measures": "loab",
  "trial.markChecked": "loa",
  "trial.accept": "loa",
  "trial.setAside": "loa",
  "trial.reopen": "loa",
  "imaging.ofTrial": "loab",
  "imaging.save": "lo",
  "sourceFile.proposal": "loa",
  "sourceFile.preview": "loa",
  "sourceFile.read": "loa",
  "sourceFile.clock": "loa",
  "sourceFile.estimateOffset": "loa",
  "sourceFile.setOffset": "loa",
  "sourceFile.takeBackOffset": "loa",
  "sourceFile.putBack": "lo",
  "sourceFile.rowsNotUsed": "loab",
  "sourceFile.remove": "lo",
  "sourceFile.provenance": "loab",
  "columnMap.list": "loab",
  "columnMap.files": "loab",
  "columnMap.readAgain": "loa",
  "columnMap.rename": "loa",
  "columnMap.remove": "loa",
  "quality.ofTrial": "loab",
  "quality.summary": "loab",
  "quality.ofStudy": "loab",
  "quality.decide": "loa",
  "quality.clearDecision": "loa",
  "quality.preview": "loa",
  "quality.adjust": "loa",
  "quality.undo": "loa",
  "quality.redo": "loa",
  "quality.reorder": "loa",
  "comparison.list": "loab",
  "comparison.get": "loab",
  "comparison.outcomes": "loab",
  "comparison.preview": "loab",
  "comparison.save": "la",
  "comparison.answer": "la",
  "comparison.remove": "la",
  "methods.get": "loab",
  "release.list": "loab",
  "release.assess": "l",
  "release.make": "l",
  "audit.list": "lb",
  "audit.choices": "lb",
  "file.upload": "lo",
  "file.download": "loa",
  "release.download": "loa",
  "ownData.export": "lo",
  "consent.openPaper": "lo",
  "consent.addScan": "lo",
  "audit.export": "lb",
};
const letters = { lead_investigator: "l", operator: "o", analyst: "a", observer: "b" } as const;

/** By path, as the router holds them at run time; its declared type is the nested one that callers see. */
const byPath = appRouter._def.procedures as unknown as Record<string, { _def: { type: string } }>;
const procedures = Object.keys(byPath);
const ofStudies = procedures.filter(isStudyAction);

type Callable = (input: unknown) => Promise<unknown>;

/** Calls a procedure by its path with nothing but the study, and says how it was answered. */
async function answer(test: TestCore, actor: Actor | null, path: string, input: unknown): Promise<string> {
  const [noun = "", verb = ""] = path.split(".");
  const nouns = test.caller(actor) as unknown as Record<string, Record<string, Callable>>;
  try {
    await nouns[noun]?.[verb]?.(input);
    return "answered";
  } catch (error) {
    if (!(error instanceof TRPCError)) throw error;
    return error.code;
  }
}

describe("the role table", () => {
  it("has a line for every procedure of a study, and no line for anything else", () => {
    const without = procedures.filter((path) => !isStudyAction(path) && !(path in outsideStudies));
    expect(without).toEqual([]);
    const unused = Object.keys(roleTable).filter(
      (action) => !procedures.includes(action) && !routesWithoutProcedure.some((route) => route === action),
    );
    expect(unused).toEqual([]);
  });

  it("gives every right to the roles that it was agreed for, and to no other", () => {
    const actions = Object.keys(roleTable) as StudyAction[];
    const given = actions.map((action) => [
      action,
      roles
        .filter((role) => mayDo(role, action))
        .map((role) => letters[role])
        .join(""),
    ]);
    expect(Object.fromEntries(given)).toEqual(agreed);
  });

  it("lets an observer change nothing", () => {
    const changing = Object.entries(byPath)
      .filter(([, procedure]) => procedure._def.type === "mutation")
      .map(([path]) => path)
      .filter(isStudyAction);
    expect(changing.filter((action) => mayDo("observer", action))).toEqual([]);
  });

  it("lets nobody but lead investigators and operators near an identity", () => {
    const actions = (Object.keys(roleTable) as StudyAction[]).filter((action) =>
      action.startsWith("identity."),
    );
    expect(actions.length).toBeGreaterThan(0);
    for (const action of actions) {
      expect(
        roles.filter((role) => mayDo(role, action)),
        action,
      ).toEqual(["lead_investigator", "operator"]);
    }
  });

  it("lets lead investigators alone decide on the team, the protocol in force, the consent form and releases", () => {
    for (const action of [
      "team.invite",
      "team.changeRole",
      "team.remove",
      "protocol.putInForce",
      "consent.putFormInForce",
      "release.make",
    ] as const) {
      expect(
        roles.filter((role) => mayDo(role, action)),
        action,
      ).toEqual(["lead_investigator"]);
    }
  });
});

describe.each(testDatabaseKinds())("every cell of the role table, on $name", (kind) => {
  let test: TestCore;
  let studyId: string;
  let otherStudyId: string;
  const people = new Map<string, Actor>();

  beforeAll(async () => {
    test = await openTestCore(kind);
    const founder = await test.person("Founder");
    studyId = await test.study(founder, "The study");
    otherStudyId = await test.study(await test.person("Owner of another"), "Another study");
    for (const role of roles) people.set(role, await test.member(studyId, `The ${role}`, role));
  });
  afterAll(() => test.close());

  const cells = ofStudies.flatMap((path) => roles.map((role) => ({ path, role })));

  it.each(cells)("$path as $role", async ({ path, role }) => {
    const actor = people.get(role);
    if (actor === undefined) throw new Error(`no person for ${role}`);
    const own = await answer(test, actor, path, { studyId });
    if (mayDo(role, path)) expect(own).not.toBe("FORBIDDEN");
    else expect(own).toBe("FORBIDDEN");
    // Not even a lead of one study learns whether another study exists.
    expect(await answer(test, actor, path, { studyId: otherStudyId })).toBe("NOT_FOUND");
    expect(await answer(test, actor, path, { studyId: "no-such-study" })).toBe("NOT_FOUND");
  });

  it.each(routesWithoutProcedure)("the route %s, role by role", async (action) => {
    const enter = (actor: Actor, id: string) =>
      openScope(test.core, actor, id, action).then(
        ({ access }) => access.role,
        (error: unknown) => (error instanceof AppError ? error.code : error),
      );
    for (const [role, actor] of people) {
      expect(await enter(actor, studyId), role).toBe(
        roles.some((known) => known === role && mayDo(known, action)) ? role : "not-allowed",
      );
      expect(await enter(actor, otherStudyId), role).toBe("not-found");
    }
  });

  it.each(ofStudies)("%s refuses whoever is not signed in", async (path) => {
    expect(await answer(test, null, path, { studyId })).toBe("UNAUTHORIZED");
  });

  it.each(Object.entries(outsideStudies))("%s is for %s", async (path, who) => {
    const code = await answer(test, null, path, {});
    if (who === "anybody") expect(code).not.toBe("UNAUTHORIZED");
    else expect(code).toBe("UNAUTHORIZED");
  });
});
