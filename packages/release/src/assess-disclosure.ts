import { createHash } from "node:crypto";
import { type BodyChoice, bodyColumns, cellsOf, coarsen, groupOf, levelOf } from "./body-columns";
import { checkFrame } from "./check-input";
import type { ColumnCoarsening, DisclosureReport, Refusal, WithheldNumbers } from "./disclosure-report";
import { problemsOfFreeText, vocabularyOf } from "./free-text";
import { type Generalisation, leastLossyGeneralisation } from "./generalisation-search";
import { IdentityScan } from "./identity-scan";
import { countOf, kAnonymity } from "./privacy-measures";
import type { ReleaseFrame, TrialToRelease, VolunteerToRelease } from "./release-input";
import { whyMeasureIsWithheld } from "./withheld-quantities";

/** Below this many volunteers a release is warned of (US Medicare shows no cell of fewer than 11 people). */
const fewVolunteers = 11;

/**
 * Decides how the body data of a release must be coarsened, who must be left out and what stays back, before a byte
 * is written. Deterministic: the same input gives the same report.
 *
 * @throws ReleaseInputError when the input contradicts itself
 */
export function assessDisclosure(frame: ReleaseFrame): DisclosureReport {
  checkFrame(frame);
  const { rule } = frame;
  const volunteers = [...frame.volunteers].sort((a, b) => compare(a.key, b.key));
  const mostLeftOut = Math.floor(rule.largestShareLeftOut * volunteers.length);
  const chosen = leastLossyGeneralisation(volunteers, rule, mostLeftOut);
  const leftOut = new Set(chosen?.leftOut ?? []);
  const released = chosen === null ? [] : volunteers.filter((volunteer) => !leftOut.has(volunteer.key));
  const releasedKeys = new Set(released.map((volunteer) => volunteer.key));
  const trials = frame.trials.filter((trial) => releasedKeys.has(trial.volunteerKey));
  const unforced = leftOut.size > 0 ? leastLossyGeneralisation(volunteers, rule, 0) : null;
  return {
    fingerprint: fingerprintOf(frame),
    rule,
    refusals: refusalsOf(frame, trials.length),
    warnings: warningsOf(frame, chosen, released.length),
    volunteers: { offered: volunteers.length, released: released.length },
    trials: { offered: frame.trials.length, released: trials.length },
    leftOut: [...leftOut].map((key) => ({
      key,
      reason: `shares sex, age, height and mass with fewer than ${rule.k - 1} others even after coarsening`,
    })),
    before: exactGroups(volunteers),
    after: chosen === null ? null : coarsenedGroups(released, trials, chosen.choice),
    columns: chosen === null ? [] : columnsOf(chosen.choice),
    loss: chosen?.loss ?? 1,
    withoutLeavingOut: unforced && { columns: columnsOf(unforced.choice), loss: unforced.loss },
    groups: chosen === null ? [] : groupsOf(released, chosen.choice),
    withheld: withheldMeasures(trials),
    remainingRisks: remainingRisks(rule.k),
  };
}

/** The levels that the report chose, one per body column. */
export function choiceOf(report: DisclosureReport): BodyChoice {
  const choice: Record<string, number> = {};
  for (const { column, level } of report.columns) choice[column] = level;
  const { sex, age, height, mass } = choice;
  if (sex === undefined || age === undefined || height === undefined || mass === undefined) {
    throw new RangeError("The report of a refused release chooses no levels.");
  }
  return { sex, age, height, mass };
}

function fingerprintOf(frame: ReleaseFrame): string {
  const { study, release, protocol, volunteers, trials, rule, forbiddenStrings } = frame;
  const parts = { study, release, protocol, volunteers, trials, rule, forbiddenStrings };
  return createHash("sha256").update(JSON.stringify(parts)).digest("hex");
}

function refusalsOf(frame: ReleaseFrame, trials: number): Refusal[] {
  const refusals: Refusal[] = [];
  const { k } = frame.rule;
  const offered = frame.volunteers.length;
  if (offered < k) {
    refusals.push({
      code: "too few volunteers",
      place: "volunteers",
      problem:
        `${offered} ${offered === 1 ? "volunteer permits" : "volunteers permit"} sharing, and the rule hides each ` +
        `among at least ${k}. Wait until ${k} permit it; a smaller k hides people less well.`,
    });
  } else if (trials === 0) {
    refusals.push({
      code: "no trials",
      place: "trials",
      problem: "None of the volunteers who would go out has a trial. Accept trials first.",
    });
  }
  const scan = new IdentityScan(frame.forbiddenStrings);
  scan.excuse(vocabularyOf(frame));
  for (const found of problemsOfFreeText(frame, scan)) refusals.push({ code: "text", ...found });
  return refusals;
}

function warningsOf(frame: ReleaseFrame, chosen: Generalisation | null, released: number): string[] {
  if (chosen === null) return [];
  const warnings: string[] = [];
  if (released < fewVolunteers) {
    warnings.push(
      `Only ${released} volunteers: among so few, people who know each other may recognise one another.`,
    );
  }
  const blank = bodyColumns.filter((column) => levelOf(column, chosen.choice[column]).width === "blank");
  if (blank.length === bodyColumns.length) {
    warnings.push("No body data goes out: nothing finer hides every volunteer among enough others.");
  } else if (blank.length > 0) {
    warnings.push(`Not released at all, to hide every volunteer among enough others: ${blank.join(", ")}.`);
  }
  const left = chosen.leftOut.length;
  if (left > 0) {
    warnings.push(
      `${left} of ${frame.volunteers.length} volunteers left out, so that the others keep finer bands.`,
    );
  }
  return warnings;
}

function exactGroups(volunteers: readonly VolunteerToRelease[]): DisclosureReport["before"] {
  const sizes = countOf(volunteers.map((v) => JSON.stringify([v.sex, v.ageYears, v.heightCm, v.massKg])));
  const all = [...sizes.values()];
  return {
    smallestGroup: all.length === 0 ? 0 : Math.min(...all),
    uniqueVolunteers: all.filter((size) => size === 1).length,
  };
}

function coarsenedGroups(
  released: readonly VolunteerToRelease[],
  trials: readonly TrialToRelease[],
  choice: BodyChoice,
): DisclosureReport["after"] {
  const groups = released.map((volunteer) => groupOf(coarsen(volunteer, choice)));
  const smallestGroup = kAnonymity(groups);
  const distinct = new Set(groups).size;
  const trialsOf = new Map<string, string[]>();
  for (const trial of trials) {
    const done = trialsOf.get(trial.volunteerKey) ?? [];
    done.push(JSON.stringify([trial.conditionName, trial.occasion]));
    trialsOf.set(trial.volunteerKey, done);
  }
  const knowingTrials = released.map((volunteer, index) =>
    JSON.stringify([groups[index], (trialsOf.get(volunteer.key) ?? []).sort()]),
  );
  return {
    smallestGroup,
    groups: distinct,
    greatestRisk: 1 / smallestGroup,
    meanRisk: distinct / released.length,
    smallestGroupKnowingTrials: kAnonymity(knowingTrials),
  };
}

function columnsOf(choice: BodyChoice): ColumnCoarsening[] {
  return bodyColumns.map((column) => {
    const { words, loss } = levelOf(column, choice[column]);
    return { column, level: choice[column], words, loss };
  });
}

function groupsOf(released: readonly VolunteerToRelease[], choice: BodyChoice): DisclosureReport["groups"] {
  const groups = new Map<string, { cells: ReturnType<typeof cellsOf>; volunteers: number }>();
  for (const volunteer of released) {
    const body = coarsen(volunteer, choice);
    const group = groups.get(groupOf(body));
    if (group) group.volunteers++;
    else groups.set(groupOf(body), { cells: cellsOf(body), volunteers: 1 });
  }
  return [...groups.entries()].sort(([a], [b]) => compare(a, b)).map(([, group]) => group);
}

function withheldMeasures(trials: readonly TrialToRelease[]): WithheldNumbers[] {
  const withheld = new Map<string, WithheldNumbers>();
  for (const trial of trials) {
    for (const measure of trial.measures) {
      const reason = whyMeasureIsWithheld(measure);
      if (reason === null) continue;
      const { name, unit } = measure;
      const id = JSON.stringify([name, unit, reason]);
      withheld.set(id, {
        what: "measure",
        name,
        unit,
        count: (withheld.get(id)?.count ?? 0) + 1,
        reason,
      });
    }
  }
  return [...withheld.entries()].sort(([a], [b]) => compare(a, b)).map(([, entry]) => entry);
}

function remainingRisks(k: number): string[] {
  return [
    "A volunteer who took part can often recognise their own trials, by their course or by what happened in them.",
    `Somebody who knows a volunteer's exact sex, age, height and mass finds at least ${k} rows that fit, not one; ` +
      "what those rows have in common, they learn.",
    "Somebody who also knows which conditions and occasions a volunteer did may find fewer rows; the smallest " +
      "number is given as the smallest group knowing trials.",
    "Temperature and heart rate courses are as personal as handwriting: whoever holds another recording of the " +
      "same person could compare them.",
  ];
}

/** Code unit order: the same on every machine, unlike a locale's. */
export function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
