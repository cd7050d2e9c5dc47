import { expect, type Page } from "@playwright/test";
import { ConsentFormsPage } from "./pages/consent-forms-page";
import { EntryPages } from "./pages/entry-pages";
import { type ImagingPlan, ProtocolPage } from "./pages/protocol-page";
import { TrialsPage } from "./pages/trials-page";
import { VolunteerPage } from "./pages/volunteer-page";
import { VolunteersPage } from "./pages/volunteers-page";
import type { RunningServer } from "./server";

export interface ReadyTrial {
  readonly studyId: string;
  readonly code: string;
  readonly trialId: string;
}

/** What the study and the person who leads it are called; the trial is planned under the first condition. */
interface Names {
  readonly title: string;
  readonly lead: string;
  readonly conditions: readonly [string, string];
}

const shortNames: Names = { title: "One trial", lead: "Ina Lead", conditions: ["bare hands", "gloves"] };

/** A study with one volunteer who permits everything and one planned trial, made through the screens. Invented. */
export async function readyTrial(
  page: Page,
  server: RunningServer,
  imaging: ImagingPlan = {},
  names: Names = shortNames,
): Promise<ReadyTrial> {
  const entry = new EntryPages(page);
  await entry.createFirstAccount(server.firstAccountCode(), names.lead);
  const studyId = await entry.createStudy(names.title);
  const protocol = new ProtocolPage(page, studyId);
  await protocol.open();
  await protocol.startDraft();
  await protocol.addPhase({ name: "Sitting", kind: "rest", minutes: 2 });
  await protocol.addPhase({ name: "Stepping", kind: "exercise", minutes: 5 });
  await protocol.addPhase({ name: "Standing", kind: "recovery", minutes: 3 });
  for (const condition of names.conditions) await protocol.addCondition(condition);
  await protocol.chooseRegion("Left forearm, anterior");
  await protocol.setRoomLimits({ airTemperatureC: [22, 24] });
  await protocol.setImaging(imaging);
  await protocol.setStopCriteria(["Dizziness."]);
  await protocol.save();
  await protocol.putInForce();
  const forms = new ConsentFormsPage(page, studyId);
  await forms.open();
  await forms.startDraft();
  await forms.write({ title: "Consent", text: "Invented. You may stop at any time." });
  await forms.save();
  await forms.putInForce();
  const code = await new VolunteersPage(page, studyId).register({ sex: "female", birthYear: 1990 });
  await new VolunteerPage(page).recordConsent({ nameAsSigned: "Solveig Testvik" });
  await new TrialsPage(page, studyId).plan({ volunteer: code, condition: names.conditions[0] });
  await expect(page).toHaveURL(/\/trials\/[^/]+$/);
  const trialId = new URL(page.url()).pathname.split("/").at(-1) ?? "";
  return { studyId, code, trialId };
}
