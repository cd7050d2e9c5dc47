import { readFileSync } from "node:fs";
import { signIn } from "../scripts/demo-client";
import { settled, testFile } from "./every-screen";
import { watchConsole } from "./look-at-screen";
import { EntryPages, leadPassword } from "./pages/entry-pages";
import { expect, test } from "./server";

/** Ways in which markup has run where somebody forgot that text is text. The number says which field it came from. */
let fields = 0;
const markup = () => `<img src=x onerror="ran(${++fields})"><script>ran(${fields})</script>`;
/** The same for texts that are shown as Markdown. */
const markdown = () =>
  `${markup()} [open](javascript:ran(${fields})) ![x](x "onerror=ran(${fields})") <a href="javascript:ran(0)">x</a>\n\n<iframe srcdoc="<script>parent.ran(${fields})</script>"></iframe>`;

/** Every text of a draft that is still empty, filled with markup. */
function filled<T>(value: T): T {
  if (value === "") return markup().slice(0, 80) as T;
  if (Array.isArray(value)) return value.map(filled) as T;
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, part]) => [key, filled(part)])) as T;
}

test("markup in the texts of a study is shown as it was written, on every screen, and nothing of it runs", async ({
  page,
  server,
}) => {
  const entry = new EntryPages(page);
  await entry.createFirstAccount(server.firstAccountCode(), markup());
  const client = await signIn(
    { local: server.address, shown: server.address },
    "ina.lead@example.org",
    leadPassword,
  );
  if (client === null) throw new Error("the first account cannot sign in");
  const { api } = client;

  const { studyId } = await api.study.create.mutate({ title: markup(), summary: markup() });
  const started = await api.protocol.startDraft.mutate({ studyId });
  const draft = await api.protocol.get.query({ studyId, protocolId: started.protocolId });
  const phase = (key: string, kind: "rest" | "exercise" | "recovery", durationS: number) => ({
    key,
    kind,
    durationS,
    name: `<b onclick=ran(${++fields})>${key}`,
  });
  const saved = await api.protocol.saveDraft.mutate({
    studyId,
    protocolId: started.protocolId,
    revision: started.revision,
    content: {
      ...filled(draft.content),
      phases: [phase("sit", "rest", 120), phase("step", "exercise", 300), phase("stand", "recovery", 180)],
      conditions: ["bare", "gloves"].map((key) => ({
        key,
        name: `${key} <img src=x onerror=ran(${++fields})>`,
        description: markup(),
      })),
      roomLimits: { ...draft.content.roomLimits, airTemperatureC: { min: 22, max: 24 } },
      regions: [{ regionId: "forearm-left-anterior", statistic: "mean" as const }],
      stopCriteria: [markup()],
      preVisitRules: [markup()],
      plannedOutcomes: [markup()],
    },
  });
  await api.protocol.putInForce.mutate({
    studyId,
    protocolId: started.protocolId,
    revision: saved.revision,
  });
  const { formId, revision: formRevision } = await api.consent.startForm.mutate({ studyId });
  const form = await api.consent.form.query({ studyId, formId });
  const permissions = form.permissions.map((permission) => ({ ...permission, label: markup() }));
  const written = await api.consent.saveForm.mutate({
    studyId,
    formId,
    revision: formRevision,
    title: markup(),
    text: markdown(),
    permissions,
  });
  await api.consent.putFormInForce.mutate({ studyId, formId, revision: written.revision });

  const { volunteerId } = await api.volunteer.register.mutate({ studyId, sex: "female", birthYear: 1990 });
  // In other words than the rest: a text that names the volunteer is refused where others read it.
  await api.identity.save.mutate({ studyId, volunteerId, revision: 0, name: "<u>Sandvik", contact: "<u>" });
  await api.consent.record.mutate({
    studyId,
    volunteerId,
    formId,
    signedAt: new Date().toISOString(),
    nameAsSigned: "<u>Sandvik",
    decisions: Object.fromEntries(permissions.map(({ key }) => [key, true])),
  });
  await api.identity.reveal.mutate({ studyId, volunteerId, reason: markup() });
  const { trialId } = await api.trial.plan.mutate({
    studyId,
    volunteerId,
    conditionKey: "bare",
    occasion: 1,
  });
  const lines = readFileSync(testFile("visit-bare-one.csv"), "utf8").split("\n");
  // A file whose name and whose columns are markup too.
  const bytes = Buffer.from(
    [`${lines[0]},<img src=x onerror=ran(${++fields})>`, ...lines.slice(1).map((line) => `${line},1`)]
      .join("\n")
      .replace(/\n,1$/, "\n"),
  );
  const name = `<img src=x onerror=ran(${++fields})>.csv`;
  const { sourceFileId } = await client.upload(studyId, trialId, { name, bytes });
  const { proposal, revision } = await api.sourceFile.proposal.query({ studyId, sourceFileId });
  if (proposal === null) throw new Error("the file cannot be read");
  await api.sourceFile.read.mutate({ studyId, sourceFileId, revision, columnMap: proposal.columnMap });
  const at = async () => (await api.trial.get.query({ studyId, trialId })).revision;
  await api.trial.saveMarkers.mutate({
    studyId,
    trialId,
    revision: await at(),
    markers: [
      ["sit", 0],
      ["step", 120],
      ["stand", 420],
      ["$end", 600],
    ].map(([phaseKey, atS]) => ({
      phaseKey: String(phaseKey),
      atS: Number(atS),
      name: `<img src=x onerror=ran(${++fields})>`,
    })),
  });
  await api.quality.adjust.mutate({
    studyId,
    sourceFileId,
    trialRevision: await at(),
    settings: { kind: "mask", fromS: 10, toS: 20, series: null },
    reason: markup(),
  });
  await api.comparison.save.mutate({
    studyId,
    comparisonId: null,
    revision: 0,
    name: markup(),
    settings: {
      schema: 1,
      outcome: { measure: "change", regionId: "forearm-left-anterior" },
      conditions: ["bare", "gloves"],
      occasion: 1,
      course: "temperature",
      level: 0.95,
    },
  });
  await api.trial.setAside.mutate({ studyId, trialId, revision: await at(), reason: markup() });
  const { token } = await api.volunteerLink.make.mutate({ studyId, volunteerId, purpose: "sign" });

  const ran: unknown[] = [];
  await page.exposeFunction("ran", (which: number) => ran.push(`the markup of text ${which} ran`));
  page.on("dialog", (dialog) => {
    ran.push(dialog.message());
    void dialog.dismiss();
  });
  // The Content-Security-Policy would stop a script, and say so: that it had to is a finding too.
  const complaints = watchConsole(page, () => false);
  const study = `/studies/${studyId}`;
  const comparison = (await api.comparison.list.query({ studyId }))[0]?.comparisonId;
  const paths = [
    "",
    "/protocol",
    `/protocol/${started.protocolId}`,
    "/consent",
    `/consent/${formId}`,
    "/volunteers",
    `/volunteers/${volunteerId}`,
    `/volunteers/${volunteerId}/consent`,
    "/trials",
    "/trials/new",
    `/trials/${trialId}`,
    "/quality",
    "/column-maps",
    "/comparisons",
    `/comparisons/${comparison}`,
    "/methods",
    "/releases",
    "/team",
    "/audit",
  ].map((path) => `${study}${path}`);
  let shown = 0;
  for (const path of ["/studies", "/account", ...paths, `/for-you/${token}`]) {
    await page.goto(path);
    await settled(page);
    for (const summary of await page.locator("main summary").all()) await summary.click();
    const made = await page.evaluate(
      () =>
        document.querySelectorAll(
          "main u, img[src=x], iframe, [onerror], [onclick], a[href^='javascript:' i], main script",
        ).length,
    );
    expect(made, path).toBe(0);
    shown += ((await page.locator("main").textContent())?.match(/<(img|script|b|u)\b/g) ?? []).length;
  }
  expect(ran).toEqual([]);
  expect(complaints).toEqual([]);
  // The texts are there to be read, as they were written.
  expect(shown).toBeGreaterThan(60);
});
