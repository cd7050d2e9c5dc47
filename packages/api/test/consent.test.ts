import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Actor } from "../src/access/service";
import { permissionsOf, requirePermission } from "../src/consent/service";
import { defaultPermissions, missingInForm, openPlaces, textTemplate } from "../src/consent-form/policy";
import { permissions } from "../src/consent-form/schema";
import type { StudyId } from "../src/identifiers";
import type { ReadScope } from "../src/scope";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { effectNames } from "../src/withdrawal/policy";

describe("a consent form", () => {
  const form = { title: "Taking part", text: "What happens.", permissions: [...defaultPermissions] };

  it("cannot be put in force while a place of the template is not filled in, and says which", () => {
    expect(openPlaces("a [[b]]\n[[c]] [link](https://example.org)")).toEqual([
      { line: 1, text: "b" },
      { line: 2, text: "c" },
    ]);
    expect(missingInForm({ ...form, text: textTemplate })[0]?.message).toMatch(/double brackets: line \d+ “/);
    expect(missingInForm(form)).toEqual([]);
    expect(missingInForm({ ...form, title: "", text: " " }).map((item) => item.field)).toEqual([
      "title",
      "text",
    ]);
  });

  it("always asks for the permission to take part, as a required one", () => {
    const refusal = (list: unknown) => permissions.safeParse(list).error?.issues[0]?.message ?? "accepted";
    expect(refusal(defaultPermissions)).toBe("accepted");
    expect(refusal(defaultPermissions.slice(1))).toMatch(/cannot be removed/);
    expect(refusal([{ key: "take-part", label: "x", required: false }])).toMatch(/always required/);
    expect(refusal([...defaultPermissions, ...defaultPermissions])).toMatch(/used twice/);
  });
});

describe.each(testDatabaseKinds())("consent on $name", (kind) => {
  let test: TestCore;
  let lead: Actor;
  let studyId: string;
  let volunteerId: string;
  let formId: string;
  const at = (time: string) => `2026-03-14T${time}Z`;
  const all = Object.fromEntries(defaultPermissions.map((item) => [item.key, true]));

  beforeAll(async () => {
    test = await openTestCore(kind);
    lead = await test.person("Lead");
  });
  afterAll(() => test.close());

  const consent = () => test.caller(lead).consent;
  const now = (time: string) => test.setNow(new Date(at(time)));
  const scope = (): ReadScope => ({
    db: test.core.database.prisma,
    access: {
      studyId: studyId as StudyId,
      actor: lead,
      role: "lead_investigator",
      leadWithoutSecondFactor: false,
    },
    core: test.core,
    now: test.core.now(),
  });

  /** A study at 08:00 with a form in force and one volunteer. */
  async function begin() {
    now("08:00:00");
    studyId = await test.study(lead);
    ({ formId } = await consent().startForm({ studyId }));
    await consent().saveForm({
      studyId,
      formId,
      revision: 1,
      title: "Taking part",
      text: "What happens.",
      permissions: [...defaultPermissions],
    });
    await consent().putFormInForce({ studyId, formId, revision: 2 });
    ({ volunteerId } = await test.caller(lead).volunteer.register({ studyId, sex: "male", birthYear: 1980 }));
  }

  const sign = (time: string, change: object = {}) =>
    consent().record({
      studyId,
      volunteerId,
      formId,
      signedAt: at(time),
      nameAsSigned: "Perpetua Quill",
      decisions: all,
      ...change,
    });
  const withdraw = (time: string, permission: string | null, reason = "") =>
    consent().withdraw({
      studyId,
      volunteerId,
      permission,
      effect: "exclude",
      effectiveAt: at(time),
      reason,
    });
  const allowed = async (permission: string) =>
    (await consent().ofVolunteer({ studyId, volunteerId })).permissions.find(
      (item) => item.key === permission,
    );

  it("is asked with a text that never changes once in force; a change is a new version", async () => {
    await begin();
    const edit = {
      studyId,
      formId,
      revision: 3,
      title: "X",
      text: "Y",
      permissions: [...defaultPermissions],
    };
    await expect(consent().saveForm(edit)).rejects.toThrow(/no longer a draft/);
    const second = await consent().startForm({ studyId });
    await expect(consent().startForm({ studyId })).rejects.toThrow(/draft already/);
    await expect(sign("08:00:00", { formId: second.formId })).rejects.toThrow(/is a draft/);
    await consent().putFormInForce({ studyId, formId: second.formId, revision: 1 });
    expect((await consent().forms({ studyId })).map((form) => [form.version, form.state])).toEqual([
      [2, "in_force"],
      [1, "retired"],
    ]);
  });

  it("form edited by two people: the second is told and nothing is overwritten", async () => {
    now("08:00:00");
    studyId = await test.study(lead);
    const draft = await consent().startForm({ studyId });
    const edit = {
      studyId,
      formId: draft.formId,
      revision: 1,
      permissions: [...defaultPermissions],
      title: "T",
    };
    await consent().saveForm({ ...edit, text: "first" });
    await expect(consent().saveForm({ ...edit, text: "second" })).rejects.toMatchObject({
      cause: { code: "changed-meanwhile", details: { current: { text: "first", revision: 2 } } },
    });
  });

  it("is recorded permission by permission, and every one has to be decided", async () => {
    await begin();
    now("09:00:00");
    const { [defaultPermissions[2]?.key ?? ""]: _, ...open } = all;
    await expect(sign("09:00:00", { decisions: open })).rejects.toMatchObject({
      message: expect.stringMatching(/decided separately.*may be kept/),
      cause: { field: "decisions.keep-images" },
    });
    await expect(sign("09:00:00", { decisions: { ...all, "sell-images": true } })).rejects.toThrow(
      /does not ask/,
    );
    await expect(sign("09:00:00", { nameAsSigned: "  " })).rejects.toThrow(/name as it was signed/);
    await sign("08:30:00", { decisions: { ...all, "show-in-public": false } });
    const state = await consent().ofVolunteer({ studyId, volunteerId });
    expect(state.permissions.filter((item) => !item.allowed).map((item) => [item.key, item.why])).toEqual([
      ["show-in-public", "refused"],
    ]);
    expect(state.history).toMatchObject([
      { kind: "record", at: at("08:30:00.000"), by: "Lead", formVersion: 1 },
    ]);
  });

  it("dated in the future, or before its form was in force, is refused", async () => {
    await begin();
    now("09:00:00");
    await expect(sign("09:02:00")).rejects.toMatchObject({
      message: expect.stringMatching(/lies in the future/),
      cause: { code: "invalid", field: "signedAt" },
    });
    await expect(sign("07:59:00")).rejects.toThrow(/came into force/);
    await expect(sign("08:00:00", { signedAt: "yesterday" })).rejects.toThrow(/date and a time/);
    expect((await consent().ofVolunteer({ studyId, volunteerId })).history).toEqual([]);
  });

  it("on a retired form counts when it was signed before the form was retired, and still says what it said", async () => {
    await begin();
    now("09:00:00");
    await sign("08:30:00");
    const second = await consent().startForm({ studyId });
    await consent().putFormInForce({ studyId, formId: second.formId, revision: 1 });
    now("10:00:00");
    await expect(sign("09:30:00")).rejects.toThrow(/was retired/);
    await sign("08:45:00");
    const state = await consent().ofVolunteer({ studyId, volunteerId });
    expect(state).toMatchObject({ signedFormVersion: 1, newerFormInForce: true });
    expect(state.permissions.every((item) => item.allowed)).toBe(true);
  });

  it("of one permission or of all is taken back from a moment on, and comes back only with a new signature", async () => {
    await begin();
    now("12:00:00");
    await expect(withdraw("11:00:00", null)).rejects.toThrow(/nothing to withdraw/);
    await sign("09:00:00");
    await expect(withdraw("12:30:00", "keep-images")).rejects.toThrow(/future/);
    await expect(withdraw("08:30:00", "keep-images")).rejects.toThrow(/no effect/);
    await withdraw("10:00:00", "keep-images", "Changed my mind");
    expect(await allowed("keep-images")).toMatchObject({
      allowed: false,
      why: "withdrawn",
      since: at("10:00:00.000"),
    });
    expect(await allowed("show-in-teaching")).toMatchObject({ allowed: true });
    await expect(withdraw("11:00:00", "keep-images")).rejects.toThrow(/not in force at that moment/);
    await withdraw("11:00:00", null);
    expect(await allowed("take-part")).toMatchObject({ allowed: false, why: "withdrawn" });
    await expect(withdraw("11:30:00", null)).rejects.toThrow(/No permission was in force/);
    await sign("11:45:00");
    expect(await allowed("keep-images")).toMatchObject({ allowed: true, since: at("11:45:00.000") });
    const trail = await test.caller(lead).audit.list({ studyId, action: "consent.withdraw" });
    const rest = expect.not.arrayContaining(["keep-images"]);
    expect(trail.entries.map(({ before, after, reason }) => ({ before, after, reason }))).toEqual([
      {
        before: { permitted: rest },
        after: {
          permission: "all",
          effect: effectNames.exclude,
          withdrawn: rest,
          effectiveAt: at("11:00:00.000"),
        },
        reason: null,
      },
      {
        before: { permitted: ["keep-images"] },
        after: {
          permission: "keep-images",
          effect: effectNames.exclude,
          withdrawn: ["keep-images"],
          effectiveAt: at("10:00:00.000"),
        },
        reason: "Changed my mind",
      },
    ]);
  });

  it("entered by the minute keeps the order of events within that minute", async () => {
    now("08:00:40");
    await begin();
    now("08:00:50");
    await sign("08:00:00");
    await withdraw("08:00:00", null);
    expect(await allowed("take-part")).toMatchObject({ allowed: false });
    now("08:00:55");
    await sign("08:00:00");
    expect(await allowed("take-part")).toMatchObject({ allowed: true });
  });

  it("gate lets through what is permitted at the moment, and refuses everything else by code, permission and reason", async () => {
    await begin();
    const gate = (permission: string, time: string) =>
      requirePermission(scope(), volunteerId, permission, new Date(at(time)));
    now("12:00:00");
    await expect(gate("take-part", "09:00:00")).rejects.toMatchObject({
      code: "consent-missing",
      details: { permission: "take-part", volunteerCode: "V001", why: "nothing signed" },
    });
    await sign("09:00:00", { decisions: { ...all, "keep-images": false } });
    await gate("take-part", "09:00:00");
    await expect(gate("take-part", "08:59:00")).rejects.toThrow(/had been signed/);
    await expect(gate("keep-images", "09:00:00")).rejects.toThrow(/V001.*may be kept.*Refused on 2026-03-14/);
    await withdraw("11:00:00", null);
    await gate("take-part", "10:59:59");
    await expect(gate("take-part", "11:00:00")).rejects.toThrow(/Withdrawn on 2026-03-14/);
    await expect(requirePermission(scope(), "nobody", "take-part", test.core.now())).rejects.toThrow(
      /no such volunteer/,
    );
  });

  it("gate for many agrees with the gate for one, and the list and the overview follow a withdrawal at once", async () => {
    await begin();
    now("12:00:00");
    const other = await test.caller(lead).volunteer.register({ studyId, sex: "female", birthYear: 1981 });
    await sign("09:00:00");
    const book = await permissionsOf(scope(), [volunteerId, other.volunteerId], test.core.now());
    expect(book.get(volunteerId)?.has("take-part")).toBe(true);
    expect(book.get(other.volunteerId)?.decide("take-part")).toMatchObject({ why: "nothing signed" });
    const overview = async () => (await test.caller(lead).study.overview({ studyId })).volunteers;
    const list = async () =>
      (await test.caller(lead).volunteer.list({ studyId, participation: "permitted" })).rows.map(
        (row) => row.code,
      );
    expect(await overview()).toEqual({ registered: 2, permitted: 1, withdrawn: 0 });
    expect(await list()).toEqual(["V001"]);
    await withdraw("12:00:00", "take-part");
    expect(await overview()).toEqual({ registered: 2, permitted: 0, withdrawn: 1 });
    expect(await list()).toEqual([]);
  });

  it("of another study's form is refused", async () => {
    await begin();
    const foreign = formId;
    await begin();
    await expect(sign("08:00:00", { formId: foreign })).rejects.toThrow(/no such consent form/);
  });

  it("overview says what comes next, step by step", async () => {
    await begin();
    const { steps, consentForm, protocol } = await test.caller(lead).study.overview({ studyId });
    expect(consentForm).toMatchObject({ version: 1 });
    expect(protocol).toBeNull();
    expect(steps.filter((step) => step.done).map((step) => step.key)).toEqual(["consent form", "volunteers"]);
    expect(steps.find((step) => !step.done)).toMatchObject({ key: "protocol", screen: "protocol" });
  });
});
