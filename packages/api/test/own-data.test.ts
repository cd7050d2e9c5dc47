import { strFromU8, unzipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { exportOwnDataByStaff } from "../src/own-data/service";
import { receiveScan } from "../src/signed-paper/service";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { chunksOf, journeyFile, type ReadyStudy, readyStudy, recordedTrial } from "./ready-study";

describe.each(testDatabaseKinds())("a volunteer's own data on $name", { timeout: 300_000 }, (kind) => {
  let test: TestCore;
  let study: ReadyStudy;
  beforeAll(async () => {
    test = await openTestCore(kind);
    study = await readyStudy(test);
  }, 300_000);
  afterAll(() => test.close());

  async function exported(volunteerId: string) {
    const { fileName, body } = await exportOwnDataByStaff(await study.scope("ownData.export"), volunteerId);
    const chunks: Uint8Array[] = [];
    for await (const chunk of body) chunks.push(chunk);
    return { fileName, files: unzipSync(new Uint8Array(Buffer.concat(chunks))) };
  }

  it("holds who they are, what they signed, what was recorded, and each file byte for byte; and nobody else's", async () => {
    const { studyId, call } = study;
    const { volunteerId, code } = await study.volunteer();
    const person = { name: "Ulvhild Sandvåg", contact: "ulvhild@example.org", dateOfBirth: "1990-05-17" };
    await call.identity.save({ studyId, volunteerId, revision: 0, ...person });
    await recordedTrial(study, volunteerId);
    const scan = new TextEncoder().encode("%PDF-1.7 an invented scan");
    const { id: recordId } = await test.core.database.prisma.consentRecord.findFirstOrThrow({
      where: { volunteerId },
    });
    for (let copy = 0; copy < 2; copy++) {
      await receiveScan(await study.scope("consent.addScan"), { recordId, body: chunksOf(scan) });
    }
    const other = await study.volunteer();
    await call.identity.save({
      studyId,
      volunteerId: other.volunteerId,
      revision: 0,
      name: "Torvald Ekmark",
    });
    // A permission that was taken back changes nothing: it is their own.
    await call.consent.withdraw({
      studyId,
      volunteerId,
      permission: null,
      effect: "exclude",
      effectiveAt: test.core.now().toISOString(),
    });

    const { fileName, files } = await exported(volunteerId);
    expect(fileName).toMatch(new RegExp(`^own-data-${code}-\\d{4}-\\d\\d-\\d\\d\\.zip$`));
    const read = (path: string) => strFromU8(files[path] ?? new Uint8Array());
    const whole = JSON.parse(read("own-data.json"));
    expect(whole).toMatchObject({
      code,
      identity: { ...person, namesAsSigned: [{ name: "Quendolin Abendroth" }] },
      withdrawals: [{ permission: "all" }],
      trials: [{ trial: 1, condition: "bare hands", occasion: 1 }],
    });
    expect(whole.consents[0].decisions.length).toBeGreaterThan(3);
    const original = Object.entries(files).filter(([path]) => path.startsWith("files/"));
    expect(original.map(([path]) => path)).toEqual(["files/trial-1/1-visit.csv"]);
    expect(Buffer.from(original[0]?.[1] ?? []).equals(Buffer.from(journeyFile("visit-bare-one.csv")))).toBe(
      true,
    );
    for (const path of ["consent-papers/1-scan.pdf", "consent-papers/2-scan.pdf"]) {
      expect(read(path)).toBe("%PDF-1.7 an invented scan");
    }
    expect(read("consents.csv")).toContain("taken back,all,no");
    expect(read("trials.csv")).toContain("1,bare hands,1,");
    expect(read("README.txt")).toContain(`known as ${code}`);
    for (const bytes of Object.values(files)) expect(strFromU8(bytes)).not.toMatch(/Torvald|Ekmark/);
    const trail = await call.audit.list({ studyId, action: "ownData.export" });
    expect(trail.entries[0]).toMatchObject({ subjectLabel: code, after: { trials: 1, files: 1, papers: 2 } });
    expect(JSON.stringify(trail)).not.toMatch(/Ulvhild/);
  });

  it("of somebody in another study, or who was erased, is not there", async () => {
    const { studyId, call } = study;
    const { volunteerId, code } = await study.volunteer();
    const other = await readyStudy(test);
    const elsewhere = exportOwnDataByStaff(await other.scope("ownData.export"), volunteerId);
    await expect(elsewhere).rejects.toMatchObject({ code: "not-found" });
    await call.erasure.erase({ studyId, volunteerId, code, reason: "A test" });
    await expect(exported(volunteerId)).rejects.toMatchObject({ code: "wrong-state" });
  });
});
