import * as course from "../../src/course";
import * as quality from "../../src/quality";
import * as skin from "../../src/skin";
import { seededGenerator } from "../../src/statistics";
import type { EveryFunction } from "./every-function";

/** Invented: ten minutes of rest, twenty of exercise with a fall and a rise, ten of recovery, a step, a drift and a spike. */
const generator = seededGenerator(23);
const timeBase: course.TimeBase = { kind: "regular", startS: 0, stepS: 2, count: 1200 };
const ids = [
  "chest-left-anterior",
  "upper-arm-left-lateral",
  "thigh-left-anterior",
  "calf-left-posterior",
  "forearm-left-anterior",
  "hand-left-dorsal",
];
const phases: course.PhaseInterval[] = [
  { name: "sitting", kind: "rest", startS: 0, endS: 600 },
  { name: "steps", kind: "exercise", startS: 600, endS: 1800 },
  { name: "sitting again", kind: "recovery", startS: 1800, endS: 2400 },
];
const shape = (time: number) => {
  if (time < 600) return 0;
  if (time < 1000) return (600 - time) / 200;
  if (time < 1600) return -2 + (time - 1000) / 400;
  return time < 1800 ? -0.5 : Math.min(0, -0.5 + (time - 1800) / 600);
};
const traces = ids.map((regionId, k): course.TrialTrace & quality.QualityTrace => ({
  regionId,
  statistic: "mean",
  timeBase,
  values: Float64Array.from({ length: 1200 }, (_, i) => {
    const fault = (i >= 700 ? 0.7 : 0) + (i === 300 + k ? 4 : 0) + (i > 900 && i < 905 ? Number.NaN : 0);
    return 31 + k / 3 + (1 + k / 5) * shape(2 * i) + 0.2 * (generator.uniform() - 0.5) + fault + i / 4000;
  }),
}));
const first = traces[0] as (typeof traces)[number];
const last = traces[5] as (typeof traces)[number];
const grid = course.gridAround(600, 5, 0, 2398);
const aligned = course.alignTrace(timeBase, last.values, grid);
const exercise = { fromS: 0, toS: 1200 };
const drift = { startS: 10, amplitude: 0.9, tauS: 417 };
const reference = { measured: first.values.map((value) => value + 0.31), trueC: 31 };

export const skinSamples: EveryFunction<typeof skin> = {
  regionById: () => skin.regions.map(({ id }) => skin.regionById(id)),
  isRegionId: () => skin.isRegionId("chest"),
  regionAt: () => skin.regionAt("forearm", "left", "anterior"),
  oppositeRegion: () => skin.regions.map((region) => skin.oppositeRegion(region)),
  weightingById: () => skin.weightings.map(({ id }) => skin.weightingById(id)),
  positionsServedBy: () => ids.map(skin.positionsServedBy),
  meanSkinTemperature: () =>
    skin.weightings.map(({ id }) =>
      skin.meanSkinTemperature(
        id,
        skin.regions.map((region, k) => ({ regionId: region.id, statistic: "mean", value: 30 + k / 37 })),
      ),
    ),
  meanSkinTemperatureSeries: () =>
    skin.meanSkinTemperatureSeries("hardy-du-bois-7", traces, { missingSites: "renormalise" }),
};

export const courseSamples: EveryFunction<typeof course> = {
  sampleCount: () => course.sampleCount(timeBase),
  timeAt: () => course.timeAt(timeBase, 77),
  sampleTimes: () => course.sampleTimes({ kind: "regular", startS: 0.1, stepS: 0.1, count: 50 }),
  durationS: () => course.durationS(timeBase),
  typicalStepS: () =>
    course.typicalStepS({ kind: "irregular", timesS: Float64Array.of(0, 1.1, 1.9, 3.2, 4) }),
  requireOrderedTimeBase: () => course.requireOrderedTimeBase("sample", timeBase),
  gridAround: () => grid,
  alignTrace: () => aligned,
  alignTraces: () =>
    course.alignTraces(
      timeBase,
      traces.map(({ values }) => values),
      grid,
    ),
  binCentres: () => course.binCentres(aligned),
  usualBinSpacing: () => course.usualBinSpacing(aligned.values),
  widenBins: () => course.widenBins(aligned, 7),
  alignTrial: () => course.alignTrial(traces, phases),
  temperatureTraces: () => course.temperatureTraces(traces).map(({ regionId }) => regionId),
  alignedMeanSkinTemperature: () =>
    course.alignedMeanSkinTemperature(course.alignTrial(traces, phases).traces, "ramanathan-4", "error"),
  trialWindows: () => course.trialWindows("sample", phases),
  trialMeasures: () => course.trialMeasures({ traces, phases }),
  measureEntry: () => course.measureEntry("fall"),
  levelOver: () => course.levelOver(aligned, exercise),
  lowestPoint: () => course.lowestPoint(aligned, exercise),
  highestPoint: () => course.highestPoint(aligned, exercise),
  rateOver: () => course.rateOver(aligned, exercise),
  plateauAtEnd: () => course.plateauAtEnd(aligned, exercise),
  movingMean: () => course.movingMean(aligned, 30),
  within: () => course.within(aligned, exercise),
  binsWithin: () => course.binsWithin(aligned, exercise),
  binCentre: () => course.binCentre(aligned, 3),
  meanWithin: () => course.meanWithin(aligned, exercise),
  areaUnderChange: () => course.areaUnderChange(course.binCentres(aligned), aligned.values, 31.3),
  areaOver: () => course.areaOver(aligned, exercise, 31.3),
  fitBrokenLine: () => course.fitBrokenLine(course.binCentres(aligned), aligned.values),
  rewarmingOnset: () => course.rewarmingOnset(aligned, exercise),
  fallThenRewarming: () => course.fallThenRewarming(aligned, exercise, 32.6),
  recoveryHalfTime: () => course.recoveryHalfTime(aligned, { fromS: 1200, toS: 1800 }, 32.6, 31.7),
  leftRightDifference: () => course.leftRightDifference(first.values, last.values),
  forearmFingertipGradient: () => course.forearmFingertipGradient(first.values, last.values),
  fingertipFlow: () => [-3, -0.1, 0.2, 1.7, 4, 8].map(course.fingertipFlow),
  gradientOfFlow: () => [0.1, 0.7, 1, 3.3, 11].map(course.gradientOfFlow),
  estimateOffset: () =>
    course.estimateOffset({ timeBase, values: first.values }, { timeBase, values: last.values }),
  reduceForDrawing: () => course.reduceForDrawing(course.sampleTimes(timeBase), last.values, 300),
};

const steps = quality.commonSteps(timeBase, traces);
const all = traces.map(({ values }) => values);

export const qualitySamples: EveryFunction<typeof quality> = {
  checkTraces: () => quality.checkTraces({ timeBase, traces, reference }),
  applyAdjustments: () =>
    quality.applyAdjustments(
      { timeBase, traces, channels: [{ channel: "plate", values: reference.measured }] },
      [
        { kind: "mask", fromS: 100, toS: 130, series: null },
        { kind: "common step", atS: 1400, heightC: 0.7 },
        { kind: "warming-up drift", startS: 0, amplitudeC: 0.4, tauS: 313 },
        { kind: "reference drift", reference: "plate", trueC: 31, smoothingS: 45 },
        {
          kind: "emissivity",
          from: { emissivity: 1, reflectedC: 20 },
          to: { emissivity: 0.98, reflectedC: 22.3 },
        },
        { kind: "time shift", byS: 7.5 },
      ],
    ),
  cameraTraces: () => quality.cameraTraces(traces).map(quality.seriesKey),
  contactTraces: () => quality.contactTraces(traces).map(quality.seriesKey),
  conclusionsSurvive: () =>
    quality.conclusionsSurvive(
      course.trialMeasures({ traces, phases }).measures,
      course.trialMeasures({ traces: traces.slice(0, 4), phases }).measures,
    ),
  requireAdjustment: () => quality.requireAdjustment({ kind: "time shift", byS: 1 }),
  seriesKey: () => [...traces, { channel: "heart rate" }].map(quality.seriesKey),
  shiftedTimeBase: () => quality.shiftedTimeBase(timeBase, 0.1),
  commonSteps: () => steps,
  commonStepFindings: () => quality.commonStepFindings(timeBase, traces, steps),
  correctCommonSteps: () => quality.correctCommonSteps(all, steps),
  driftOffset: () => [11, 100, 1000].map((time) => quality.driftOffset(drift, time)),
  commonDrift: () => quality.commonDrift(timeBase, traces),
  commonDriftFinding: () => {
    const found = quality.commonDrift(timeBase, traces);
    return found && quality.commonDriftFinding(timeBase, traces, found);
  },
  correctCommonDrift: () => quality.correctCommonDrift(timeBase, all, drift),
  constantRuns: () => {
    const rounded = { ...first, values: first.values.map((value) => Math.round(value * 5) / 5) };
    return quality.constantRuns(timeBase, rounded);
  },
  hampel: () => quality.hampel(first.values),
  implausibleValues: () => quality.implausibleValues(timeBase, first),
  missingValues: () => quality.missingValues(timeBase, first),
  referenceOffset: () => quality.referenceOffset(timeBase, reference),
  referenceFinding: () =>
    quality.referenceFinding(timeBase, quality.referenceOffset(timeBase, reference), reference),
  correctByTwoReferences: () =>
    [20, 31.7, 44].map((shown) =>
      quality.correctByTwoReferences(shown, {
        low: { measuredC: 20.3, trueC: 20 },
        high: { measuredC: 39.4, trueC: 40 },
      }),
    ),
  spikes: () => quality.spikes(timeBase, first),
  timeBaseDefects: () =>
    quality.timeBaseDefects({ kind: "irregular", timesS: Float64Array.of(0, 1, 2, 2, 3, 9, 8, 10, 11) }),
};
