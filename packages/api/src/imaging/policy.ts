import { emptyImagingRecord, type ImagingRecord, type ImagingSetup } from "./schema";

/** A trial's imaging record beside what the protocol plans. Nothing here reads or writes. */

/**
 * The record of a trial that went as its protocol says. What only the day can tell stays open: what the volunteer named,
 * which camera it was, who drew the regions.
 */
export function recordAsPlanned(setup: ImagingSetup, clock: string | null): ImagingRecord {
  const { referenceSource } = setup;
  return {
    ...emptyImagingRecord(),
    cameraWarmUpMin: setup.cameraWarmUpMin,
    acclimatisationMin: setup.acclimatisationMin,
    distanceM: setup.distanceM,
    viewAngleDeg: setup.viewAngleDeg,
    emissivity: setup.emissivity,
    reflectedTemperatureC: setup.reflectedTemperatureC,
    posture: setup.posture,
    skinPreparation: setup.skinPreparation,
    regionProgram: setup.regionProgram,
    referenceInView:
      referenceSource.description !== "" || referenceSource.temperatureC !== null ? true : null,
    referenceTemperatureC: referenceSource.temperatureC,
    timeOfDay: clock,
  };
}

export interface RecordDiffers {
  readonly field: keyof ImagingRecord;
  readonly message: string;
}

const comparable = [
  ["cameraWarmUpMin", " min"],
  ["acclimatisationMin", " min"],
  ["distanceM", " m"],
  ["viewAngleDeg", "°"],
  ["emissivity", ""],
  ["reflectedTemperatureC", " °C"],
] as const satisfies readonly (readonly [keyof ImagingRecord & keyof ImagingSetup, string])[];

/** Where a record says another number than the protocol: told, not refused, since the trial was done so. */
export function recordDiffers(setup: ImagingSetup, record: ImagingRecord): RecordDiffers[] {
  const told: RecordDiffers[] = comparable.flatMap(([field, unit]) => {
    const plan = setup[field];
    const done = record[field];
    return plan === null || done === null || plan === done
      ? []
      : [{ field, message: `The protocol says ${String(plan).replace("-", "−")}${unit}.` }];
  });
  const plannedC = setup.referenceSource.temperatureC;
  if (record.referenceInView === false && (plannedC !== null || setup.referenceSource.description !== "")) {
    told.push({ field: "referenceInView", message: "The protocol has a reference source in view." });
  }
  if (
    plannedC !== null &&
    record.referenceTemperatureC !== null &&
    plannedC !== record.referenceTemperatureC
  ) {
    told.push({
      field: "referenceTemperatureC",
      message: `The protocol says ${String(plannedC).replace("-", "−")} °C.`,
    });
  }
  return told;
}

/** The time of day with which a file's origin begins, as the file itself says it: no zone is applied. */
export function clockOf(startedAt: string | null): string | null {
  return startedAt === null ? null : (/T(\d{2}:\d{2})/.exec(startedAt)?.[1] ?? null);
}
