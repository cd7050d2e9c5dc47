import { sampleCount, type TimeBase, timeAt, typicalStepS } from "../course";
import { type Finding, finding, type QualityTrace } from "./finding";

/**
 * Stretches of a trace without values of at least a length in s (default 5) and of at least two samples; values that are
 * infinite count as missing. A trace without any value is one finding.
 */
export function missingValues(timeBase: TimeBase, trace: QualityTrace, shortestS = 5): Finding[] {
  const { regionId, statistic, values } = trace;
  const count = Math.min(values.length, sampleCount(timeBase));
  const stepS = typicalStepS(timeBase);
  const findings: Finding[] = [];
  let start = -1;
  for (let i = 0; i <= count; i++) {
    const missing = i < count && !Number.isFinite(values[i]);
    if (missing && start < 0) start = i;
    if (missing || start < 0) continue;
    const samples = i - start;
    const fromS = timeAt(timeBase, start);
    const toS = timeAt(timeBase, i - 1) + (Number.isFinite(stepS) ? stepS : 0);
    if (samples === count || (samples >= 2 && toS - fromS >= shortestS)) {
      const isAll = samples === count;
      findings.push(
        finding({
          kind: "values missing",
          fromS,
          toS,
          traces: [{ regionId, statistic }],
          size: toS - fromS,
          unit: "s",
          count: samples,
          confidence: "sure",
          meaning: isAll
            ? "The trace has no values at all."
            : `No values for ${(toS - fromS).toPrecision(3)} s.`,
          whatCanBeDone: isAll
            ? "Map another column to this region, or leave the region out."
            : "Nothing is filled in: measures over this time rest on what is left, and say when that is too little.",
          proposal: null,
        }),
      );
    }
    start = -1;
  }
  return findings;
}
