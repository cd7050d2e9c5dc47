import { AnalysisError, analysisVersion } from "@acral/analysis";
import { type MeasureName, measureEntry, usualBinSpacing, widenBins } from "@acral/analysis/course";
import { regionById } from "@acral/analysis/skin";
import { cohensDz, describe, meanCourse, tTest } from "@acral/analysis/statistics";
import type { ComparisonAnswer, ComparisonSettings } from "./schema";

/** The answer to a cohort question, from what was read of the study. Nothing here reads or writes. */

export interface VolunteerOfComparison {
  readonly volunteerId: string;
  readonly code: string;
  /** Why nothing of this volunteer may be used; null when it may. */
  readonly excluded: string | null;
}

export interface CourseOfTrial {
  /** Start of the first bin, in s from the start of exercise; a whole number of bins. */
  readonly fromS: number;
  readonly binS: number;
  readonly values: ArrayLike<number>;
}

export interface TrialOfComparison {
  readonly trialId: string;
  readonly volunteerId: string;
  readonly conditionKey: string;
  readonly occasion: number;
  readonly state: "planned" | "recorded" | "checked" | "accepted" | "set_aside";
  readonly setAsideReason: string | null;
  /** Of an accepted trial: the outcome, or why it is not available. */
  readonly outcome: { readonly value: number | null; readonly reason: string | null } | null;
  /** Of an accepted trial: the baseline of the series, for courses of change. */
  readonly baseline: number | null;
  readonly course: CourseOfTrial | null;
}

export interface ComparisonInput {
  readonly settings: ComparisonSettings;
  readonly conditions: readonly { readonly key: string; readonly name: string }[];
  readonly occasions: number;
  readonly phases: readonly { readonly name: string; readonly kind: string; readonly durationS: number }[];
  readonly binS: number;
  readonly volunteers: readonly VolunteerOfComparison[];
  readonly trials: readonly TrialOfComparison[];
}

export function seriesName(regionId: string | null): string {
  return regionId === null ? "Mean skin temperature" : regionById(regionId).label;
}

type Missing = ComparisonAnswer["missing"][number];

/** The trials that count for a volunteer in a condition, and why each other one is missing. */
function trialsOf(
  input: ComparisonInput,
  volunteer: VolunteerOfComparison,
  condition: { key: string; name: string },
) {
  const wanted =
    input.settings.occasion === "mean over occasions"
      ? Array.from({ length: input.occasions }, (_, i) => i + 1)
      : [input.settings.occasion];
  const used: { trial: TrialOfComparison; value: number }[] = [];
  const missing: Missing[] = [];
  for (const occasion of wanted) {
    const own = input.trials.filter(
      (trial) =>
        trial.volunteerId === volunteer.volunteerId &&
        trial.conditionKey === condition.key &&
        trial.occasion === occasion,
    );
    // A trial that counts goes before those that were set aside.
    const trial = own.find((candidate) => candidate.state !== "set_aside") ?? own.at(-1);
    const value = trial?.outcome?.value ?? null;
    const reason = volunteer.excluded ?? whyMissing(trial);
    if (reason === null && trial !== undefined && value !== null) {
      used.push({ trial, value });
    } else {
      missing.push({
        code: volunteer.code,
        volunteerId: volunteer.volunteerId,
        trialId: trial?.trialId ?? null,
        conditionKey: condition.key,
        conditionName: condition.name,
        occasion,
        reason: reason ?? "The outcome could not be computed.",
      });
    }
  }
  return { used, missing };
}

function whyMissing(trial: TrialOfComparison | undefined): string | null {
  if (trial === undefined) return "No trial was planned.";
  switch (trial.state) {
    case "planned":
      return "Planned, nothing recorded yet.";
    case "recorded":
    case "checked":
      return "Recorded, not accepted yet.";
    case "set_aside":
      return `Set aside: ${trial.setAsideReason ?? "no reason was given"}`;
    case "accepted":
      return trial.outcome?.value === null || trial.outcome === null
        ? (trial.outcome?.reason ?? "The source file has no such region.")
        : null;
  }
}

function mean(values: readonly number[]): number {
  const { mean: value } = describe(values);
  if (value === null) throw new Error("The mean of no values was asked for.");
  return value;
}

/** Bins of mean courses become no wider than this, whatever was sampled more rarely keeps its gaps. Common practice. */
const widestBinS = 60;

/** A grid in whole bins from the start of exercise. */
interface CourseGrid {
  /** How many bins of the study make one of this grid. */
  readonly factor: number;
  readonly binS: number;
  readonly firstBin: number;
  readonly bins: number;
}

/**
 * How many bins of the study to take together, so that no course has bins that its sampling leaves empty: a mean over volunteers
 * would have gaps at these bins, or jump between one set of volunteers and another.
 */
function widening(courses: readonly CourseOfTrial[], binS: number): number {
  const spacings = courses.map(({ values }) => usualBinSpacing(values)).filter(Number.isFinite);
  return Math.max(1, Math.min(Math.max(1, ...spacings), Math.floor(widestBinS / binS)));
}

function binned({ fromS, binS, values }: CourseOfTrial, factor: number) {
  return widenBins({ binS, firstBin: Math.round(fromS / binS), values: Float64Array.from(values) }, factor);
}

/** The grid that holds every bin of every course. */
function commonGrid(courses: readonly CourseOfTrial[], binS: number): CourseGrid {
  const factor = widening(courses, binS);
  const wide = courses.map((course) => binned(course, factor));
  const firstBin = wide.length === 0 ? 0 : Math.min(...wide.map((course) => course.firstBin));
  const end = Math.max(firstBin, ...wide.map((course) => course.firstBin + course.values.length));
  return { factor, binS: binS * factor, firstBin, bins: end - firstBin };
}

function onGrid(course: CourseOfTrial, grid: CourseGrid, minus: number): Float64Array {
  const values = new Float64Array(grid.bins).fill(Number.NaN);
  const { firstBin, values: wide } = binned(course, grid.factor);
  values.set(
    wide.map((value) => value - minus),
    firstBin - grid.firstBin,
  );
  return values;
}

const finiteOrNull = (values: ArrayLike<number>) =>
  Array.from(values, (value) => (Number.isFinite(value) ? value : null));

function courseOfCondition(
  input: ComparisonInput,
  condition: { key: string; name: string },
  perVolunteer: readonly (readonly TrialOfComparison[])[],
  grid: CourseGrid,
) {
  const change = input.settings.course === "change from baseline";
  let trials = 0;
  const courses = perVolunteer.flatMap((own) => {
    const gridded = own.flatMap(({ course, baseline }) => {
      if (course === null || (change && baseline === null)) return [];
      return [onGrid(course, grid, change ? (baseline ?? 0) : 0)];
    });
    trials += gridded.length;
    // A volunteer counts once: first the mean over the volunteer's own trials, then the mean over volunteers.
    return gridded.length === 0 ? [] : [meanCourse(gridded).mean];
  });
  const base = { key: condition.key, name: condition.name, volunteers: courses.length, trials };
  if (courses.length === 0) {
    const nothing = Array.from({ length: grid.bins }, () => null);
    return { ...base, mean: nothing, lower: nothing, upper: nothing, n: nothing.map(() => 0) };
  }
  const course = meanCourse(courses, { level: input.settings.level });
  return {
    ...base,
    mean: finiteOrNull(course.mean),
    lower: finiteOrNull(course.lower),
    upper: finiteOrNull(course.upper),
    n: Array.from(course.n),
  };
}

/** The protocol's phases in s from the start of the first exercise phase. */
function phasesFromExercise(phases: ComparisonInput["phases"]) {
  let atS = 0;
  const placed = phases.map((phase) => {
    const startS = atS;
    atS += phase.durationS;
    return { name: phase.name, kind: phase.kind, startS, endS: atS };
  });
  const zero = placed.find((phase) => phase.kind === "exercise")?.startS ?? 0;
  return placed.map((phase) => ({ ...phase, startS: phase.startS - zero, endS: phase.endS - zero }));
}

export function answerComparison(input: ComparisonInput): ComparisonAnswer {
  const { settings } = input;
  const conditionOf = (key: string) =>
    input.conditions.find((condition) => condition.key === key) ?? { key, name: key };
  const conditions = [conditionOf(settings.conditions[0]), conditionOf(settings.conditions[1])] as const;
  const unit = measureEntry(settings.outcome.measure as MeasureName).unit;

  const perVolunteer = input.volunteers.map((volunteer) => ({
    volunteer,
    sides: [trialsOf(input, volunteer, conditions[0]), trialsOf(input, volunteer, conditions[1])] as const,
  }));
  const missing = perVolunteer.flatMap(({ sides }) => sides.flatMap((side) => side.missing));
  const usedTrials = perVolunteer.reduce(
    (sum, { sides }) => sum + sides[0].used.length + sides[1].used.length,
    0,
  );
  const pairs = perVolunteer.flatMap(({ volunteer, sides: [first, second] }) => {
    if (first.used.length === 0 || second.used.length === 0) return [];
    const a = mean(first.used.map(({ value }) => value));
    const b = mean(second.used.map(({ value }) => value));
    return [
      {
        volunteerId: volunteer.volunteerId,
        code: volunteer.code,
        first: a,
        second: b,
        difference: b - a,
        trials: [first.used.length, second.used.length] as [number, number],
      },
    ];
  });

  const trialsOfSide = (side: 0 | 1) =>
    perVolunteer.map(({ sides }) => sides[side].used.map(({ trial }) => trial));
  const courses = [...trialsOfSide(0), ...trialsOfSide(1)]
    .flat()
    .flatMap(({ course }) => (course === null ? [] : [course]));
  const grid = commonGrid(courses, input.binS);

  return {
    schema: 1,
    unit,
    course: {
      series: seriesName(settings.outcome.regionId),
      unit: "°C",
      binS: grid.binS,
      timesS: Array.from({ length: grid.bins }, (_, k) => (grid.firstBin + k + 0.5) * grid.binS),
      conditions: [
        courseOfCondition(input, conditions[0], trialsOfSide(0), grid),
        courseOfCondition(input, conditions[1], trialsOfSide(1), grid),
      ],
      phases: phasesFromExercise(input.phases),
    },
    pairs,
    missing,
    ...testOf(pairs, settings.level),
    expectedTrials: usedTrials + missing.length,
    usedTrials,
    analysisVersion,
  };
}

function testOf(
  pairs: ComparisonAnswer["pairs"],
  level: number,
): Pick<ComparisonAnswer, "test" | "testUnavailable" | "effect"> {
  const first = pairs.map((pair) => pair.first);
  const second = pairs.map((pair) => pair.second);
  try {
    const { method, estimate, interval, statistic, degreesOfFreedom, p, n, means } = tTest({
      kind: "paired",
      // The reference comes first in the question; the test takes what is subtracted from it as its second sample.
      first: second,
      second: first,
      level,
    });
    const dz = cohensDz({ first: second, second: first, level });
    return {
      test: {
        method,
        estimate,
        interval,
        statistic,
        degreesOfFreedom,
        p,
        n,
        means: [means[1] ?? Number.NaN, means[0] ?? Number.NaN],
      },
      testUnavailable: null,
      effect: { method: dz.method, estimate: dz.estimate, interval: dz.interval },
    };
  } catch (error) {
    if (!(error instanceof AnalysisError)) throw error;
    return { test: null, testUnavailable: whyNoTest(error, pairs.length), effect: null };
  }
}

function whyNoTest(error: AnalysisError, n: number): string {
  if (n < 2) {
    return `A paired test needs at least 2 volunteers with both conditions; there ${n === 1 ? "is 1" : `are ${n}`}.`;
  }
  if (error.code === "constant")
    return "All differences are the same, so that their spread cannot be estimated.";
  return error.message;
}
