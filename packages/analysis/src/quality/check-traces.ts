import { AnalysisError } from "../analysis-error";
import { sampleCount, type TimeBase } from "../course";
import { applyAdjustments } from "./apply-adjustments";
import { type CommonDriftSettings, commonDrift, commonDriftFinding } from "./common-drift";
import {
  type CommonStep,
  type CommonStepSettings,
  commonStepFindings,
  commonSteps,
  correctCommonSteps,
} from "./common-step";
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
 * only the time base and the values' plausibility are judged, since nothing else can be placed. Steps and drift are looked for
 * without what the other findings would mask, and drift after common steps have been set aside. A reference surface decides about
 * drift: with one, none is inferred from what the regions share.
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
  if (count === 0) return mergeFindings(findings);
  const sound: QualityTrace[] = [];
  for (const trace of traces) {
    const own = implausibleValues(timeBase, trace);
    if (ordered) {
      const leaps = spikes(timeBase, trace, settings.spikes);
      own.push(
        ...missingValues(timeBase, trace, settings.shortestMissingS),
        ...leaps.filter((leap) => !own.some((one) => one.fromS <= leap.fromS && leap.toS <= one.toS)),
        ...constantRuns(timeBase, trace, settings.constantRuns),
      );
      sound.push(withoutFaults(timeBase, trace, own));
    }
    findings.push(...own);
  }
  if (ordered)
    findings.push(
      ...commonFaults({ timeBase, traces: sound, settings, ...(reference && { reference }) }, traces),
    );
  if (ordered && reference !== undefined) {
    const finding = referenceFinding(timeBase, referenceOffset(timeBase, reference), reference);
    if (finding !== null) findings.push(finding);
  }
  return mergeFindings(findings);
}

/** The trace without the stretches that its own findings would mask: what is stuck takes no part in what is common. */
function withoutFaults(timeBase: TimeBase, trace: QualityTrace, own: readonly Finding[]): QualityTrace {
  const masks = own.flatMap(({ proposal }) => (proposal?.kind === "mask" ? [proposal] : []));
  if (masks.length === 0) return trace;
  return applyAdjustments({ timeBase, traces: [trace], channels: [] }, masks).traces[0] ?? trace;
}

/** Steps, and drift after the steps have been set aside; with a reference surface in view drift is read off it instead. */
function commonFaults(
  { timeBase, traces, reference, settings = {} }: QualityInput,
  named: readonly QualityTrace[],
): Finding[] {
  const steps = commonSteps(timeBase, traces, settings.commonStep);
  const level = steps.length === 0 ? traces : withoutSteps(traces, steps);
  const drift = reference === undefined ? commonDrift(timeBase, level, settings.commonDrift) : null;
  return [
    ...commonStepFindings(timeBase, named, steps),
    ...(drift === null ? [] : [commonDriftFinding(timeBase, named, drift)]),
  ];
}

function withoutSteps(traces: readonly QualityTrace[], steps: readonly CommonStep[]): QualityTrace[] {
  const values = traces.map((trace) => trace.values);
  const { corrected } = correctCommonSteps(values, steps);
  return traces.map((trace, k) => ({ ...trace, values: corrected[k] ?? trace.values }));
}
