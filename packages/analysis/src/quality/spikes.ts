import { type TimeBase, timeAt } from "../course";
import { seriesKey } from "./adjustment";
import { type Finding, finding, type QualityTrace } from "./finding";
import { hampel } from "./hampel";
import { noiseOf } from "./robust";

export interface SpikeSettings {
  /** Samples on either side that a spike is judged against; a spike is shorter than this. Default 5. */
  readonly halfWidth: number;
  /** Robust standard deviations of the window, and of the whole trace's noise; default 6. */
  readonly nSigma: number;
  /** A smaller spike is left alone, in °C; default 0.3. */
  readonly smallestC: number;
}

export const spikeDefaults: SpikeSettings = { halfWidth: 5, nSigma: 6, smallestC: 0.3 };

/**
 * Spikes: one or few samples that leap from their neighbours and come back, by the Hampel identifier with a floor in °C
 * and in the trace's own noise. Skin does not do this: water, a hand in the view or a lost frame does.
 */
export function spikes(
  timeBase: TimeBase,
  trace: QualityTrace,
  settings: Partial<SpikeSettings> = {},
): Finding[] {
  const { halfWidth, nSigma, smallestC } = { ...spikeDefaults, ...settings };
  const { regionId, statistic, values } = trace;
  const noise = noiseOf(values);
  const smallest = Math.max(smallestC, Number.isFinite(noise) ? nSigma * noise : 0);
  const { outliers, filtered } = hampel(values, { halfWidth, nSigma, smallest });
  const findings: Finding[] = [];
  let start = 0;
  for (let k = 0; k < outliers.length; k++) {
    const index = outliers[k] as number;
    if (outliers[k + 1] === index + 1) continue;
    const from = outliers[start] as number;
    const heights = outliers.slice(start, k + 1).map((i) => (values[i] as number) - (filtered[i] as number));
    const size = heights.reduce(
      (largest, height) => (Math.abs(height) > Math.abs(largest) ? height : largest),
      0,
    );
    const count = index - from + 1;
    const fromS = timeAt(timeBase, from);
    const toS = timeAt(timeBase, index);
    findings.push(
      finding({
        kind: "spike",
        fromS,
        toS,
        traces: [{ regionId, statistic }],
        size,
        unit: "°C",
        count,
        confidence: Math.abs(size) > 2 * smallest ? "sure" : "likely",
        meaning: `${count === 1 ? "One sample leaps" : `${count} samples leap`} by ${size.toFixed(2)} °C and back: water, a hand in the view or a lost frame rather than skin.`,
        whatCanBeDone: "Mask this moment.",
        proposal: { kind: "mask", fromS, toS, series: [seriesKey(trace)] },
      }),
    );
    start = k + 1;
  }
  return findings.length <= mostSpikes ? findings : [scattered(timeBase, trace, findings)];
}

/** More spikes than this in one trace are one finding about the whole trace: they are what it is like. */
const mostSpikes = 40;

function scattered(timeBase: TimeBase, trace: QualityTrace, spikesFound: readonly Finding[]): Finding {
  const { regionId, statistic, values } = trace;
  const sizes = spikesFound.map(({ size }) => size ?? 0);
  const size = sizes.reduce((largest, one) => (Math.abs(one) > Math.abs(largest) ? one : largest), 0);
  return finding({
    kind: "spike",
    fromS: timeAt(timeBase, 0),
    toS: timeAt(timeBase, values.length - 1),
    traces: [{ regionId, statistic }],
    size,
    unit: "°C",
    count: spikesFound.reduce((sum, one) => sum + one.count, 0),
    confidence: "likely",
    meaning: `${spikesFound.length} times the trace leaps and comes back, by up to ${Math.abs(size).toFixed(2)} °C: the region's outline does not hold the skin, or the sensor is loose.`,
    whatCanBeDone: "Draw the region's outline anew where the file was made, or leave the trace out.",
    proposal: null,
  });
}
