import { fallThenRewarmingDefaults, type MeasureName } from "../course";
import { regionById } from "../skin";

/** A measure of a trial as `trialMeasures` gives it; only these parts are compared. */
export interface ComparableMeasure {
  readonly name: MeasureName;
  /** Null for the whole body. */
  readonly regionId: string | null;
  readonly unit: string;
  readonly value: number | null;
}

export interface ConclusionLimits {
  /** A temperature that differs by more has changed, °C; default 0.1. */
  readonly temperatureC: number;
  /** A time that differs by more has changed, s; default 10. */
  readonly timeS: number;
  /** Rates and areas have changed by what the temperature limit makes over this long, s; default 600. */
  readonly overS: number;
}

/** Common practice: what a camera is steady to, and two bins. */
export const conclusionLimits: ConclusionLimits = { temperatureC: 0.1, timeS: 10, overS: 600 };

export type ConclusionChange =
  | {
      /** By more than the limit; `turnsRound` where the sign changes too. */
      readonly kind: "amount";
      readonly name: MeasureName;
      readonly regionId: string | null;
      readonly unit: string;
      readonly withAdjustments: number;
      readonly asRecorded: number;
      readonly turnsRound: boolean;
    }
  | {
      /** There with the adjustments only, or without them only. */
      readonly kind: "given only once";
      readonly name: MeasureName;
      readonly regionId: string | null;
      readonly givenWithAdjustments: boolean;
    }
  | {
      /** The region falls and rewarms by the rule of `fallThenRewarming` with the adjustments only, or without them only. */
      readonly kind: "fall then rewarming";
      readonly regionId: string | null;
      readonly shownWithAdjustments: boolean;
    };

export interface Conclusions {
  /**
   * `same`: nothing changed. `levels only`: levels are others, and no change, difference, time, rate or rule is. `rest on
   * adjustments`: something a trial concludes is another.
   */
  readonly verdict: "same" | "levels only" | "rest on adjustments";
  /** What changed, conclusions before levels, by size within a unit. */
  readonly changes: readonly ConclusionChange[];
  /** Measures that were compared. */
  readonly compared: number;
  /** All of this in one sentence. */
  readonly sentence: string;
}

/** Temperatures themselves, which a camera's constant offset moves without touching what happened. */
const levels: ReadonlySet<MeasureName> = new Set<MeasureName>([
  "baseline",
  "lowest point",
  "end of exercise",
  "plateau",
]);

function limitOf(unit: string, { temperatureC, timeS, overS }: ConclusionLimits): number {
  switch (unit) {
    case "°C":
      return temperatureC;
    case "s":
      return timeS;
    case "°C/s":
      return temperatureC / overS;
    case "°C·s":
      return temperatureC * overS;
    default:
      return 0;
  }
}

const keyOf = ({ name, regionId }: { name: string; regionId: string | null }) => `${name} ${regionId ?? ""}`;

/**
 * Whether what a trial concludes survives its adjustments: the same measures with them and as recorded, compared against limits
 * that are stated in the answer. The rule of fall and rewarming is asked of each region by its measures (fall, rise, time of the
 * lowest point, onset of rewarming) with its usual thresholds.
 */
export function conclusionsSurvive(
  withAdjustments: readonly ComparableMeasure[],
  asRecorded: readonly ComparableMeasure[],
  limits: Partial<ConclusionLimits> = {},
): Conclusions {
  const used = { ...conclusionLimits, ...limits };
  const recorded = new Map(asRecorded.map((measure) => [keyOf(measure), measure]));
  const adjusted = new Map(withAdjustments.map((measure) => [keyOf(measure), measure]));
  const keys = [...new Set([...adjusted.keys(), ...recorded.keys()])];
  const ofMeasures = keys.flatMap((key) => compare(adjusted.get(key), recorded.get(key), used));
  const changes = [...ofRule(withAdjustments, asRecorded), ...ofMeasures].sort(
    (a, b) => rankOf(a) - rankOf(b) || largeness(b, used) - largeness(a, used),
  );
  let verdict: Conclusions["verdict"] = "same";
  if (changes.length > 0) verdict = changes.every(isLevel) ? "levels only" : "rest on adjustments";
  return {
    verdict,
    changes,
    compared: keys.length,
    sentence: inOneSentence(verdict, changes, keys.length, used),
  };
}

function compare(
  now: ComparableMeasure | undefined,
  then: ComparableMeasure | undefined,
  limits: ConclusionLimits,
): ConclusionChange[] {
  const measure = now ?? then;
  if (measure === undefined) return [];
  const { name, regionId, unit } = measure;
  const a = now?.value ?? null;
  const b = then?.value ?? null;
  if (a === null && b === null) return [];
  if (a === null || b === null) {
    return [{ kind: "given only once", name, regionId, givenWithAdjustments: a !== null }];
  }
  if (!(Math.abs(a - b) > limitOf(unit, limits))) return [];
  const turnsRound = a * b < 0;
  return [{ kind: "amount", name, regionId, unit, withAdjustments: a, asRecorded: b, turnsRound }];
}

/** Whether a region falls and rewarms, by its measures; null where its fall or rise is not known. */
function fallsAndRewarms(measures: readonly ComparableMeasure[], regionId: string | null): boolean | null {
  const measured = (name: MeasureName) =>
    measures.find((one) => one.name === name && one.regionId === regionId)?.value ?? null;
  const [fall, rise, lowestS] = [measured("fall"), measured("rise"), measured("time of lowest point")];
  if (fall === null || rise === null || lowestS === null) return null;
  const { smallestFallC, smallestRiseC, earliestLowestS } = fallThenRewarmingDefaults;
  return (
    fall >= smallestFallC &&
    rise >= smallestRiseC &&
    lowestS >= earliestLowestS &&
    measured("onset of rewarming") !== null
  );
}

function ofRule(
  withAdjustments: readonly ComparableMeasure[],
  asRecorded: readonly ComparableMeasure[],
): ConclusionChange[] {
  const regionIds = [...new Set(withAdjustments.map(({ regionId }) => regionId))];
  return regionIds.flatMap((regionId): ConclusionChange[] => {
    const now = fallsAndRewarms(withAdjustments, regionId);
    const then = fallsAndRewarms(asRecorded, regionId);
    if (now === null || then === null || now === then) return [];
    return [{ kind: "fall then rewarming", regionId, shownWithAdjustments: now }];
  });
}

function isLevel(change: ConclusionChange): boolean {
  return change.kind === "amount" && levels.has(change.name);
}

function rankOf(change: ConclusionChange): number {
  switch (change.kind) {
    case "fall then rewarming":
      return 0;
    case "given only once":
      return 2;
    case "amount":
      if (isLevel(change)) return 4;
      return change.turnsRound ? 1 : 3;
  }
}

/** How many times its limit something changed. */
function largeness(change: ConclusionChange, limits: ConclusionLimits): number {
  if (change.kind !== "amount") return 0;
  const limit = limitOf(change.unit, limits);
  const difference = Math.abs(change.withAdjustments - change.asRecorded);
  return limit > 0 ? difference / limit : difference;
}

function nameOf(regionId: string | null): string {
  return regionId === null ? "mean skin temperature" : regionById(regionId).label.toLowerCase();
}

function inWords(change: ConclusionChange): string {
  const where = nameOf(change.regionId);
  switch (change.kind) {
    case "fall then rewarming":
      return `${where} falls and rewarms only ${change.shownWithAdjustments ? "with" : "without"} them`;
    case "given only once":
      return `${change.name} of ${where} can be given only ${change.givenWithAdjustments ? "with" : "without"} them`;
    case "amount": {
      const [now, then] = [change.withAdjustments, change.asRecorded].map((value) =>
        change.unit === "°C" ? value.toFixed(2) : Number(value.toPrecision(3)).toString(),
      );
      const verb = change.turnsRound ? "turns round" : "differs";
      return `${change.name} of ${where} ${verb} (${now} ${change.unit} with, ${then} ${change.unit} without)`;
    }
  }
}

function inOneSentence(
  verdict: Conclusions["verdict"],
  changes: readonly ConclusionChange[],
  compared: number,
  { temperatureC, timeS }: ConclusionLimits,
): string {
  const limit = `${temperatureC} °C or ${timeS} s`;
  const measures = compared === 1 ? "1 measure" : `${compared} measures`;
  if (compared === 0) return "There is no measure to compare.";
  const first = changes[0];
  if (verdict === "same" || first === undefined) {
    return `The conclusions survive: with and without the adjustments none of ${measures} differs by more than ${limit}.`;
  }
  if (verdict === "levels only") {
    return `The conclusions survive: ${changes.length} of ${measures} differ by more than ${limit} without the adjustments, all of them levels (most: ${inWords(first)}); changes, differences, times and rates do not.`;
  }
  const others = changes.length - 1;
  const more =
    others === 0 ? "" : ` and ${others} more ${others === 1 ? "changes" : "change"} by more than ${limit}`;
  return `The conclusions rest on the adjustments: ${inWords(first)}${more}, of ${measures}.`;
}
