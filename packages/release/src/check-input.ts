import { disclosureRuleSchema } from "./disclosure-rule";
import { ReleaseInputError } from "./errors";
import type { ReleaseFrame, TrialToRelease, VolunteerToRelease } from "./release-input";

/** @throws ReleaseInputError naming the first argument that does not fit the others */
export function checkFrame(frame: ReleaseFrame): void {
  const rule = disclosureRuleSchema.safeParse(frame.rule);
  if (!rule.success) {
    const issue = rule.error.issues[0];
    throw new ReleaseInputError(`rule.${issue?.path.join(".") ?? ""}`, issue?.message ?? "is not a rule");
  }
  if (!Number.isInteger(frame.release.number) || frame.release.number < 1) {
    throw new ReleaseInputError("release.number", "must be a whole number from 1");
  }
  if (!/^\d{4}-\d{2}-\d{2}/.test(frame.release.createdOn)) {
    throw new ReleaseInputError("release.createdOn", "must be an ISO date");
  }
  if (!/^[-a-zA-Z0-9._]+$/.test(frame.release.licence.name)) {
    throw new ReleaseInputError("release.licence.name", "must be a licence identifier such as CC-BY-4.0");
  }
  if (!/^https?:\/\//.test(frame.release.licence.path)) {
    throw new ReleaseInputError("release.licence.path", "must be a web address");
  }
  requireDistinct(
    "protocol.conditions",
    frame.protocol.conditions.map((condition) => condition.name),
  );
  requireDistinct(
    "protocol.regions",
    frame.protocol.regions.map((region) => region.id),
  );
  requireDistinct(
    "volunteers",
    frame.volunteers.map((volunteer) => volunteer.key),
  );
  requireDistinct(
    "trials",
    frame.trials.map((trial) => trial.key),
  );
  for (const [index, volunteer] of frame.volunteers.entries()) checkVolunteer(volunteer, index);
  const names = {
    volunteers: new Set(frame.volunteers.map((volunteer) => volunteer.key)),
    conditions: new Set(frame.protocol.conditions.map((condition) => condition.name)),
    regions: new Set(frame.protocol.regions.map((region) => region.id)),
  };
  for (const [index, trial] of frame.trials.entries()) checkTrial(trial, index, names);
}

function checkVolunteer(volunteer: VolunteerToRelease, index: number): void {
  for (const field of ["ageYears", "heightCm", "massKg"] as const) {
    const value = volunteer[field];
    if (value !== null && !(Number.isFinite(value) && value > 0)) {
      throw new ReleaseInputError(`volunteers[${index}].${field}`, "must be a number above 0, or null");
    }
  }
}

function checkTrial(
  trial: TrialToRelease,
  index: number,
  names: Record<"volunteers" | "conditions" | "regions", ReadonlySet<string>>,
): void {
  const at = `trials[${index}]`;
  if (!names.volunteers.has(trial.volunteerKey)) {
    throw new ReleaseInputError(`${at}.volunteerKey`, "names no volunteer of this release");
  }
  if (!names.conditions.has(trial.conditionName)) {
    throw new ReleaseInputError(`${at}.conditionName`, "names no condition of the protocol");
  }
  if (!Number.isInteger(trial.occasion) || trial.occasion < 1) {
    throw new ReleaseInputError(`${at}.occasion`, "must be a whole number from 1");
  }
  if (trial.phases.length === 0) {
    throw new ReleaseInputError(`${at}.phases`, "a trial without phases has no time zero");
  }
  for (const [position, phase] of trial.phases.entries()) {
    if (!(Number.isFinite(phase.startS) && Number.isFinite(phase.endS) && phase.startS <= phase.endS)) {
      throw new ReleaseInputError(`${at}.phases[${position}]`, "must start before it ends");
    }
  }
  for (const [position, measure] of trial.measures.entries()) {
    if (measure.regionId !== null && !names.regions.has(measure.regionId)) {
      throw new ReleaseInputError(
        `${at}.measures[${position}].regionId`,
        "names no region of protocol.regions",
      );
    }
  }
}

function requireDistinct(argument: string, values: readonly string[]): void {
  if (new Set(values).size !== values.length) throw new ReleaseInputError(argument, "names one thing twice");
}
