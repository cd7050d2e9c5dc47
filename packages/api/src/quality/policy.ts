import { type MeasureName, measureEntry } from "@acral/analysis/course";
import { type Conclusions, conclusionsSurvive } from "@acral/analysis/quality";
import type { Derived } from "../measure/policy";

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

export interface Verdict {
  readonly survives: "unknown" | "nothing adjusted" | Conclusions["verdict"];
  readonly sentence: string;
}

/** Whether what a trial says survives its adjustments, in one sentence, with the findings that are still open. */
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
  const { verdict, sentence } = conclusionsSurvive(
    measures.map((measure) => ({ ...measure, value: measure.withAdjustments })),
    measures.map((measure) => ({ ...measure, value: measure.asRecorded })),
  );
  return { survives: verdict, sentence: `${sentence}${stillOpen}` };
}
