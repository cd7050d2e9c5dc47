import { AnalysisError } from "../analysis-error";
import { sampleCount, type TimeBase } from "../course";
import { type CommonDriftSettings, commonDrift, commonDriftFinding } from "./common-drift";
import { type CommonStepSettings, commonStepFindings, commonSteps, correctCommonSteps } from "./common-step";
import { type ConstantRunSettings, constantRuns } from "./constant-runs";
import type { Finding, QualityTrace } from "./finding";
import { implausibleValues } from "./implausible-values";
import { mergeFindings } from "./merge-findings";
import { missingValues } from "./missing-values";
import { type ReferenceSurface, referenceFinding, referenceOffset } from "./reference-drift";
import { type SpikeSettings, spikes } from "./spikes";
import { type TimeBaseSettings, timeBaseDefects } from "./time-base-defects";

export interface QualitySettings {
  readonly timeBase?: Partial<TimeBaseSettings>;
  readonly shortestMissingS?: number;
  readonly spikes?: Partial<SpikeSettings>;
  readonly constantRuns?: Partial<ConstantRunSettings>;
  readonly commonStep?: Partial<CommonStepSettings>;
  readonly commonDrift?: Partial<CommonDriftSettings>;
}

export interface QualityInput {
  readonly timeBase: TimeBase;
  /** All traces of one instrument, which share its faults. */
  readonly traces: readonly QualityTrace[];
  readonly reference?: ReferenceSurface;
  readonly settings?: QualitySettings;
}

/** Whether values can be placed in time: steps and drifts are looked for only then. */
function isOrdered(timeBase: TimeBase): boolean {
  if (timeBase.kind === "regular") return true;
  return timeBase.timesS.every(
    (time, i) => Number.isFinite(time) && (i === 0 || time >= (timeBase.timesS[i - 1] as number)),
  );
}

/**
 * Every quality check on the traces of one instrument: findings in order of time, each with its interval on the file's
 * clock, its size, the traces concerned, what it means, what can be done and, where an adjustment would take it out, that
 * adjustment. What several traces have over one and the same interval is one finding. Nothing is changed. Where time is missing or runs backwards
 * only the time base and the values' plausibility are judged, since nothing else can be placed. Drift is looked for after
 * common steps have been set aside.
 *
 * @throws AnalysisError `unequal lengths` for traces that are not as long as the time base
 */
export function checkTraces({ timeBase, traces, reference, settings = {} }: QualityInput): Finding[] {
  const count = sampleCount(timeBase);
  for (const { regionId, values } of traces) {
    if (values.length !== count) {
      const requirement = `as many values as times; ${regionId} has ${values.length} for ${count}`;
      throw new AnalysisError("unequal lengths", "checkTraces", "traces", requirement);
    }
  }
  const findings = timeBaseDefects(timeBase, settings.timeBase);
  const ordered = isOrdered(timeBase);
  for (const trace of traces) {
    if (count === 0) continue;
    findings.push(...implausibleValues(timeBase, trace));
    if (!ordered) continue;
    findings.push(...missingValues(timeBase, trace, settings.shortestMissingS));
    findings.push(...spikes(timeBase, trace, settings.spikes));
    findings.push(...constantRuns(timeBase, trace, settings.constantRuns));
  }
  if (ordered && count > 0) {
    const steps = commonSteps(timeBase, traces, settings.commonStep);
    findings.push(...commonStepFindings(timeBase, traces, steps));
    const { corrected } = correctCommonSteps(
      traces.map(({ values }) => values),
      steps,
    );
    const level = traces.map((trace, k) => ({ ...trace, values: corrected[k] ?? trace.values }));
    const drift = commonDrift(timeBase, level, settings.commonDrift);
    if (drift !== null) findings.push(commonDriftFinding(timeBase, traces, drift));
    if (reference !== undefined) {
      const finding = referenceFinding(timeBase, referenceOffset(timeBase, reference), reference);
      if (finding !== null) findings.push(finding);
    }
  }
  return mergeFindings(findings);
}
