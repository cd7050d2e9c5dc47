import type { SimulatedTrial, SimulatedWithdrawal } from "@acral/simulator";
import type { DemoClient, ServerAddress } from "./demo-client";
import { type DemoTeam, gatherTeam, leadSignIn } from "./demo-people";
import {
  codeOf,
  comparisons,
  consentFormOf,
  decisionsOf,
  demoStudy,
  keyOf,
  permissionOf,
  protocolOf,
  studySummary,
} from "./demo-scenario";
import { finishTrial } from "./demo-trial";

export interface LoadingStudy {
  /** Called once the study and its team exist, before the work begins. */
  readonly ready: () => void;
  readonly progress: (trials: number, of: number) => void;
}

/** Embedded PostgreSQL answers one query at a time; two at once keep it busy while the next file is being simulated. */
const trialsAtOnce = 2;

/**
 * Loads the demo study through the product's own API, as people would: it looks at what is there, does what is missing,
 * and never does anything twice. Returns the study's id, and whether there was anything to do.
 */
export async function loadDemoStudy(
  address: ServerAddress,
  lead: DemoClient,
  { ready, progress }: LoadingStudy,
): Promise<{ readonly studyId: string; readonly loaded: boolean }> {
  const studyId = await findOrCreateStudy(lead);
  if (await isComplete(lead, studyId)) {
    ready();
    return { studyId, loaded: false };
  }
  const team = await gatherTeam(address, lead, studyId);
  ready();
  await putProtocolInForce(lead, studyId);
  await putConsentFormInForce(lead, studyId);
  const volunteerIds = await registerVolunteers(team.operator, studyId);
  await loadTrials(team, studyId, volunteerIds, progress);
  await withdraw(team.operator, studyId, volunteerIds, (withdrawal) => withdrawal.scope === "all");
  await saveComparisons(team.analyst, studyId);
  await makeRelease(lead, studyId);
  // One permission to share is taken back after the release, so that the register shows what that means.
  await withdraw(team.operator, studyId, volunteerIds, (withdrawal) => withdrawal.scope !== "all");
  return { studyId, loaded: true };
}

async function findOrCreateStudy(lead: DemoClient): Promise<string> {
  const studies = await lead.api.study.list.query();
  // The demo's study is the first that this account makes, whatever a visitor calls it later.
  const known = studies.find(({ title }) => title === demoStudy.title) ?? studies.at(-1);
  if (known !== undefined) return known.studyId;
  const made = await lead.api.study.create.mutate({ title: demoStudy.title, summary: studySummary });
  return made.studyId;
}

/** The last two things that loading does are there: then everything before them was, whatever became of it since. */
async function isComplete({ api }: DemoClient, studyId: string): Promise<boolean> {
  const releases = await api.release.list.query({ studyId });
  if (releases.length === 0) return false;
  const { rows } = await api.volunteer.list.query({ studyId, pageSize: 200 });
  for (const [index, { withdrawal }] of demoStudy.volunteers.entries()) {
    const volunteer = rows.find(({ code }) => code === codeOf(index));
    if (withdrawal === null || volunteer === undefined) continue;
    if (!(await isWithdrawn(api, studyId, volunteer.volunteerId, withdrawal))) return false;
  }
  return true;
}

async function isWithdrawn(
  api: DemoClient["api"],
  studyId: string,
  volunteerId: string,
  { scope }: SimulatedWithdrawal,
): Promise<boolean> {
  const { history } = await api.consent.ofVolunteer.query({ studyId, volunteerId });
  return history.some((event) => event.kind === "withdrawal" && event.permission === permissionOf(scope));
}

async function putProtocolInForce({ api }: DemoClient, studyId: string): Promise<void> {
  const versions = await api.protocol.list.query({ studyId });
  if (versions.some(({ state }) => state !== "draft")) return;
  const draft = versions[0] ?? (await api.protocol.startDraft.mutate({ studyId }));
  const { protocolId } = draft;
  const content = protocolOf(demoStudy);
  const saved = await api.protocol.saveDraft.mutate({
    studyId,
    protocolId,
    revision: draft.revision,
    content,
  });
  await api.protocol.putInForce.mutate({ studyId, protocolId, revision: saved.revision });
}

async function putConsentFormInForce({ api }: DemoClient, studyId: string): Promise<void> {
  const versions = await api.consent.forms.query({ studyId });
  if (versions.some(({ state }) => state !== "draft")) return;
  const draft = versions[0] ?? (await api.consent.startForm.mutate({ studyId }));
  const { formId } = draft;
  const content = consentFormOf(demoStudy);
  const saved = await api.consent.saveForm.mutate({ studyId, formId, revision: draft.revision, ...content });
  await api.consent.putFormInForce.mutate({ studyId, formId, revision: saved.revision });
}

/** The volunteers' ids, in the order of the scenario. */
async function registerVolunteers({ api }: DemoClient, studyId: string): Promise<string[]> {
  const { rows } = await api.volunteer.list.query({ studyId, pageSize: 200 });
  const forms = await api.consent.forms.query({ studyId });
  const form = forms.find(({ state }) => state === "in_force");
  if (form === undefined) throw new Error("The demo's consent form is not in force.");
  const volunteerIds: string[] = [];
  for (const [index, volunteer] of demoStudy.volunteers.entries()) {
    const { sex, birthYear, heightCm, massKg, identity } = volunteer;
    const code = codeOf(index);
    const known = rows.find((row) => row.code === code);
    const volunteerId =
      known?.volunteerId ??
      (
        await api.volunteer.register.mutate({
          studyId,
          code,
          sex,
          birthYear,
          bodyMeasures: { measuredOn: new Date().toISOString().slice(0, 10), heightCm, massKg },
        })
      ).volunteerId;
    volunteerIds.push(volunteerId);
    const entered =
      known !== undefined && (await api.volunteer.get.query({ studyId, volunteerId })).identity.hasName;
    if (!entered) await api.identity.save.mutate({ studyId, volunteerId, revision: 0, ...identity });
    if (known === undefined || known.participation === "nothing signed") {
      await api.consent.record.mutate({
        studyId,
        volunteerId,
        formId: form.formId,
        signedAt: new Date().toISOString(),
        nameAsSigned: identity.name,
        decisions: decisionsOf(volunteer.decisions),
      });
    }
  }
  return volunteerIds;
}

async function loadTrials(
  team: DemoTeam,
  studyId: string,
  volunteerIds: readonly string[],
  progress: LoadingStudy["progress"],
): Promise<void> {
  const { api } = team.operator;
  const { rows } = await api.trial.list.query({ studyId, pageSize: 200 });
  const finished = (state: string) => state === "accepted" || state === "set_aside";
  const open: { readonly simulated: SimulatedTrial; readonly trialId: string | null }[] = [];
  for (const simulated of demoStudy.trials) {
    const there = rows.filter(
      (row) =>
        row.volunteerCode === codeOf(simulated.volunteerIndex) &&
        row.conditionKey === keyOf(simulated.condition) &&
        row.occasion === simulated.occasion,
    );
    if (there.some(({ state }) => finished(state))) continue;
    open.push({ simulated, trialId: there[0]?.trialId ?? null });
  }
  const total = demoStudy.trials.length;
  let done = total - open.length;
  progress(done, total);
  const waiting = open.values();
  const work = async () => {
    for (const { simulated, trialId: known } of waiting) {
      const trialId =
        known ??
        (
          await api.trial.plan.mutate({
            studyId,
            volunteerId: volunteerIds[simulated.volunteerIndex] ?? "",
            conditionKey: keyOf(simulated.condition),
            occasion: simulated.occasion,
            plannedFor: simulated.startedAt,
          })
        ).trialId;
      await finishTrial(team, studyId, trialId, simulated);
      done++;
      progress(done, total);
    }
  };
  await Promise.all(Array.from({ length: trialsAtOnce }, work));
}

async function withdraw(
  { api }: DemoClient,
  studyId: string,
  volunteerIds: readonly string[],
  which: (withdrawal: SimulatedWithdrawal) => boolean,
): Promise<void> {
  for (const [index, { withdrawal }] of demoStudy.volunteers.entries()) {
    const volunteerId = volunteerIds[index];
    if (withdrawal === null || volunteerId === undefined || !which(withdrawal)) continue;
    if (await isWithdrawn(api, studyId, volunteerId, withdrawal)) continue;
    await api.consent.withdraw.mutate({
      studyId,
      volunteerId,
      permission: permissionOf(withdrawal.scope),
      effect: "exclude",
      effectiveAt: new Date().toISOString(),
      reason: withdrawal.reason,
    });
  }
}

async function saveComparisons({ api }: DemoClient, studyId: string): Promise<void> {
  const saved = await api.comparison.list.query({ studyId });
  for (const { name, settings } of comparisons) {
    if (saved.some((comparison) => comparison.name === name)) continue;
    await api.comparison.save.mutate({ studyId, comparisonId: null, revision: 0, name, settings });
  }
}

async function makeRelease({ api }: DemoClient, studyId: string): Promise<void> {
  const releases = await api.release.list.query({ studyId });
  if (releases.length > 0) return;
  const { smallestGroup } = await api.study.get.query({ studyId });
  // The demo may have taken longer than the proof of signing in is good for.
  await api.session.prove.mutate({ password: leadSignIn.password });
  await api.release.make.mutate({
    studyId,
    smallestGroup,
    licence: "CC-BY-4.0",
    reason: "To show what a release hands out; every number in it is invented",
  });
}
