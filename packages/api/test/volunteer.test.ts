import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Actor } from "../src/access/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { birthYearRefusal, derivedBody, nextVolunteerCode, volunteerRemarks } from "../src/volunteer/policy";

describe("the next volunteer code", () => {
  it("counts on from the highest given one and takes no notice of codes of another kind", () => {
    expect(nextVolunteerCode([])).toBe("V001");
    expect(nextVolunteerCode(["V001", "v007", "V002", "pilot-3", "V12x"])).toBe("V008");
    expect(nextVolunteerCode(["V999"])).toBe("V1000");
  });
});

describe("a birth year", () => {
  const now = new Date("2026-06-01T00:00:00Z");
  it("is refused when it makes an impossible age, with the years that are taken", () => {
    expect(birthYearRefusal(1990, now)).toBeNull();
    expect(birthYearRefusal(2027, now)).toMatch(/age of -1.*1926 to 2021/);
    expect(birthYearRefusal(199, now)).toMatch(/age of 1827/);
  });
  it("is remarked on when it is unusual", () => {
    expect(volunteerRemarks(1990, now)).toEqual([]);
    expect(volunteerRemarks(2010, now)).toEqual([expect.stringMatching(/minor/)]);
    expect(volunteerRemarks(1940, now)).toEqual([expect.stringMatching(/unusual/)]);
    expect(volunteerRemarks(null, now)).toEqual([]);
  });
});

describe("surface area shown beside height and mass", () => {
  it("is that of Du Bois: 1.73 m and 70 kg make 1.83 m², printed as 1.8 m² in ASHRAE Fundamentals, chapter 9", () => {
    expect(derivedBody({ heightCm: 173, massKg: 70 }).surfaceAreaM2).toBeCloseTo(1.83, 2);
  });
});

describe.each(testDatabaseKinds())("volunteers on $name", (kind) => {
  let test: TestCore;
  let lead: Actor;
  beforeAll(async () => {
    test = await openTestCore(kind);
    lead = await test.person("Lead");
  });
  afterAll(() => test.close());

  const call = () => test.caller(lead).volunteer;
  const plain = { sex: "female", birthYear: 1990 } as const;

  it("are given the next free code, one each even when two people register at the same moment", async () => {
    const studyId = await test.study(lead);
    const made = await Promise.all(Array.from({ length: 4 }, () => call().register({ studyId, ...plain })));
    expect(made.map((volunteer) => volunteer.code).sort()).toEqual(["V001", "V002", "V003", "V004"]);
    const elsewhere = await test.study(lead);
    expect((await call().register({ studyId: elsewhere, ...plain })).code).toBe("V001");
  });

  it("may be given another code, but none that exists", async () => {
    const studyId = await test.study(lead);
    await call().register({ studyId, ...plain, code: "row-07" });
    const refused = { code: "CONFLICT", cause: { code: "exists", field: "code" } };
    await expect(call().register({ studyId, ...plain, code: "ROW-07" })).rejects.toMatchObject(refused);
    await expect(call().register({ studyId, ...plain, code: "ROW-07" })).rejects.toThrow(
      /row-07 exists already.*next free one/,
    );
    const other = await call().register({ studyId, ...plain });
    await expect(
      call().update({ studyId, volunteerId: other.volunteerId, revision: 1, ...plain, code: "row-07" }),
    ).rejects.toMatchObject(refused);
    await expect(call().register({ studyId, ...plain, code: "Anna Maria" })).rejects.toThrow(/20 letters/);
    expect((await call().list({ studyId })).total).toBe(2);
  });

  it("are refused with a birth year, height, mass, skinfold or day that cannot be, and the message names the limits", async () => {
    const studyId = await test.study(lead);
    const body = { measuredOn: "2026-03-14", heightCm: 172, massKg: 66 };
    const register = (change: object) =>
      call().register({ studyId, ...plain, bodyMeasures: { ...body, ...change } });
    await expect(call().register({ studyId, ...plain, birthYear: 1890 })).rejects.toMatchObject({
      message: expect.stringMatching(/1890 would make an age/),
      cause: { field: "birthYear" },
    });
    await expect(register({ heightCm: 1.72 })).rejects.toThrow(/height lies between 100 and 230 cm/);
    await expect(register({ massKg: 6600 })).rejects.toThrow(/mass lies between 25 and 250 kg/);
    await expect(register({ skinfoldsMm: { triceps: 0.9 } })).rejects.toThrow(
      /skinfold lies between 2 and 80 mm/,
    );
    await expect(register({ heightCm: Number.NaN })).rejects.toThrow(/height is a number/);
    await expect(register({ measuredOn: "2999-01-01" })).rejects.toThrow(/future/);
    await expect(register({ measuredOn: "1980-01-01" })).rejects.toThrow(/before the birth year/);
    await expect(register({ measuredOn: "2026-02-30" })).rejects.toThrow(/year-month-day/);
    expect((await call().list({ studyId })).total).toBe(0);
  });

  it("are shown with their latest body measures and the surface area that follows from them", async () => {
    const studyId = await test.study(lead);
    const { volunteerId } = await call().register({
      studyId,
      ...plain,
      bodyMeasures: { measuredOn: "2026-03-14", heightCm: 170, massKg: 70, skinfoldsMm: { triceps: 12.5 } },
    });
    await call().addBodyMeasures({
      studyId,
      volunteerId,
      bodyMeasures: { measuredOn: "2026-01-02", heightCm: 170, massKg: 72 },
    });
    const volunteer = await call().get({ studyId, volunteerId });
    expect(volunteer.bodyMeasures.map((body) => body.measuredOn)).toEqual(["2026-03-14", "2026-01-02"]);
    expect(volunteer.bodyMeasures[0]).toMatchObject({ skinfoldsMm: { triceps: 12.5 } });
    const row = (await call().list({ studyId })).rows[0];
    expect(row?.body?.surfaceAreaM2).toBeCloseTo(1.80971, 5);
    const bodyMeasuresId = volunteer.bodyMeasures[0]?.bodyMeasuresId ?? "";
    await call().removeBodyMeasures({
      studyId,
      volunteerId,
      bodyMeasuresId,
      reason: "Entered for somebody else",
    });
    expect((await call().get({ studyId, volunteerId })).bodyMeasures).toHaveLength(1);
    const removal = (await test.caller(lead).audit.list({ studyId, action: "volunteer.removeBodyMeasures" }))
      .entries[0];
    expect(removal).toMatchObject({
      subjectLabel: "V001",
      before: { heightCm: 170, massKg: 70, skinfolds: ["triceps 12.5 mm"] },
      reason: "Entered for somebody else",
    });
  });

  it("edited by two people: the second is told and sees what stands there now", async () => {
    const studyId = await test.study(lead);
    const { volunteerId } = await call().register({ studyId, ...plain });
    const edit = { studyId, volunteerId, revision: 1, code: "V001", sex: "female" as const };
    await call().update({ ...edit, birthYear: 1991 });
    await expect(call().update({ ...edit, birthYear: 1992 })).rejects.toMatchObject({
      cause: {
        code: "changed-meanwhile",
        details: { current: { code: "V001", sex: "female", birthYear: 1991, revision: 2 } },
      },
    });
    expect((await call().get({ studyId, volunteerId })).birthYear).toBe(1991);
  });

  it("are filtered, sorted and paged on the server", async () => {
    const studyId = await test.study(lead);
    for (const [index, birthYear] of [1990, null, 1970, 1985].entries()) {
      await call().register({ studyId, sex: index % 2 === 0 ? "female" : "male", birthYear });
    }
    const codes = async (input: object) => {
      const { total, rows } = await call().list({ studyId, ...input });
      return [total, ...rows.map((row) => row.code)];
    };
    expect(await codes({ sort: "birthYear" })).toEqual([4, "V003", "V004", "V001", "V002"]);
    expect(await codes({ sort: "birthYear", direction: "descending" })).toEqual([
      4,
      "V001",
      "V004",
      "V003",
      "V002",
    ]);
    expect(await codes({ sex: "male" })).toEqual([2, "V002", "V004"]);
    expect(await codes({ search: "v003" })).toEqual([1, "V003"]);
    expect(await codes({ page: 2, pageSize: 3 })).toEqual([4, "V004"]);
    expect(await codes({ participation: "permitted" })).toEqual([0]);
    expect(await codes({ participation: "nothing signed" })).toEqual([4, "V001", "V002", "V003", "V004"]);
  });

  it("of another study are not there", async () => {
    const { volunteerId } = await call().register({ studyId: await test.study(lead), ...plain });
    const studyId = await test.study(lead);
    const caller = test.caller(lead);
    const body = { measuredOn: "2026-03-14", heightCm: 170, massKg: 70 };
    for (const attempt of [
      () => call().get({ studyId, volunteerId }),
      () => call().update({ studyId, volunteerId, revision: 1, code: "V001", ...plain }),
      () => call().addBodyMeasures({ studyId, volunteerId, bodyMeasures: body }),
      () => caller.identity.reveal({ studyId, volunteerId, reason: "curiosity" }),
      () => caller.identity.save({ studyId, volunteerId, revision: 0, name: "X" }),
      () => caller.consent.ofVolunteer({ studyId, volunteerId }),
    ]) {
      await expect(attempt()).rejects.toThrow(/no such volunteer/);
    }
  });
});
