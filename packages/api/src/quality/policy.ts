import { type MeasureName, measureEntry } from "@acral/analysis/course";
import { regionById } from "@acral/analysis/skin";
import type { Derived } from "../measure/policy";
import { meanSkinTemperatureName } from "../trace/policy";

/** How the quality of a trial is judged from findings and measures. Nothing here reads or writes. */

/** Where a finding stands: nobody did anything about it, or somebody adjusted it, took it as it is, or dismissed it. */
export type Standing = "open" | "adjusted" | "accepted" | "dismissed";

export function standingOf(decision: "accepted" | "dismissed" | null, adjustedBy: string | null): Standing {
  return adjustedBy !== null ? "adjusted" : (decision ?? "open");
}

export interface MeasureBothWays {
  readonly name: MeasureName;
  readonly regionId: string | null;
  readonly unit: string;
  readonly withAdjustments: number | null;
  readonly asRecorded: number | null;
  /** With adjustments minus as recorded; null where one of them cannot be given. */
  readonly difference: number | null;
}

/** The measures of a trial with adjustments and without, in the order of the catalogue. */
export function measuresBothWays(adjusted: Derived, recorded: Derived): MeasureBothWays[] {
  const key = (measure: { name: string; regionId: string | null }) =>
    `${measure.name} ${measure.regionId ?? ""}`;
  const asRecorded = new Map(
    recorded.kind === "available" ? recorded.measures.map((measure) => [key(measure), measure]) : [],
  );
  const withAdjustments = new Map(
    adjusted.kind === "available" ? adjusted.measures.map((measure) => [key(measure), measure]) : [],
  );
  return [...new Set([...withAdjustments.keys(), ...asRecorded.keys()])].flatMap((one) => {
    const now = withAdjustments.get(one);
    const then = asRecorded.get(one);
    const measure = now ?? then;
    if (measure === undefined) return [];
    const a = now?.value ?? null;
    const b = then?.value ?? null;
    return [
      {
        name: measure.name,
        regionId: measure.regionId,
        unit: measureEntry(measure.name).unit,
        withAdjustments: a,
        asRecorded: b,
        difference: a === null || b === null ? null : a - b,
      },
    ];
  });
}

/** Measures whose sign is the conclusion: which way skin went, which side is warmer. */
const directed: readonly MeasureName[] = [
  "change",
  "left-right difference at baseline",
  "left-right difference at end of exercise",
  "forearm-fingertip gradient at baseline",
  "forearm-fingertip gradient at end of exercise",
];

/** A temperature difference below this says nothing of a direction, °C: our own rule. */
const noDirectionC = 0.1;
/** Temperatures that differ by less count as the same, °C: our own rule, below what the best cameras resolve. */
const sameC = 0.02;

export interface Verdict {
  readonly survives: "unknown" | "nothing adjusted" | "same" | "in direction" | "no";
  readonly sentence: string;
}

const nameOf = ({ name, regionId }: MeasureBothWays) =>
  `${name} of ${regionId === null ? meanSkinTemperatureName : regionById(regionId).label.toLowerCase()}`;

const inC = (value: number) => `${Number(value.toFixed(2)).toString().replace("-", "−")} °C`;

/**
 * Whether what a trial says survives its adjustments, in one sentence. It does not where a change, a difference between sides
 * or a gradient turns round, or where a measure is there only with or only without them.
 */
export function verdictOf(
  measures: readonly MeasureBothWays[],
  counts: { readonly adjustments: number; readonly open: number },
  unavailable: string | null,
): Verdict {
  const { adjustments, open } = counts;
  const stillOpen = open === 0 ? "" : ` ${open} ${open === 1 ? "finding is" : "findings are"} still open.`;
  if (unavailable !== null) {
    return { survives: "unknown", sentence: `Nothing can be said yet. ${unavailable}${stillOpen}` };
  }
  if (adjustments === 0) {
    return {
      survives: "nothing adjusted",
      sentence: `Nothing is adjusted: every measure is as it was recorded.${stillOpen}`,
    };
  }
  const the = adjustments === 1 ? "the adjustment" : `the ${adjustments} adjustments`;
  const turned = measures.filter(
    ({ name, withAdjustments: a, asRecorded: b }) =>
      directed.includes(name) &&
      a !== null &&
      b !== null &&
      Math.sign(a) !== Math.sign(b) &&
      Math.min(Math.abs(a), Math.abs(b)) >= noDirectionC,
  );
  const lost = measures.filter(({ withAdjustments: a, asRecorded: b }) => (a === null) !== (b === null));
  const first = turned[0] ?? lost[0];
  if (first !== undefined) {
    const how =
      turned.length > 0
        ? `${nameOf(first)} turns from ${inC(first.asRecorded ?? 0)} to ${inC(first.withAdjustments ?? 0)}`
        : `${nameOf(first)} can be given only ${first.withAdjustments === null ? "without" : "with"} them`;
    const others = turned.length + lost.length - 1;
    const more = others === 0 ? "" : `, and so for ${others} more`;
    return {
      survives: "no",
      sentence: `The conclusions rest on ${the}: ${how}${more}.${stillOpen}`,
    };
  }
  const temperatures = measures.filter(({ unit }) => unit === "°C");
  const largest = temperatures.reduce<MeasureBothWays | null>(
    (far, one) => (Math.abs(one.difference ?? 0) > Math.abs(far?.difference ?? 0) ? one : far),
    null,
  );
  const size = Math.abs(largest?.difference ?? 0);
  if (largest === null || size < sameC) {
    return {
      survives: "same",
      sentence: `The conclusions survive: with and without ${the} every temperature is the same within ${sameC} °C.${stillOpen}`,
    };
  }
  return {
    survives: "in direction",
    sentence: `The conclusions survive in direction: no change, difference between sides or gradient turns round without ${the}; the largest difference is ${inC(size)}, in ${nameOf(largest)}.${stillOpen}`,
  };
}
