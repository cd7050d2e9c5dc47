import { plausibilityLimits } from "../body";
import { type TimeBase, timeAt } from "../course";
import { seriesKey } from "./adjustment";
import { type Finding, finding, type QualityTrace } from "./finding";
import { roughMedian } from "./robust";

interface OtherUnit {
  readonly name: string;
  readonly toCelsius: (value: number) => number;
}

const otherUnits: readonly OtherUnit[] = [
  { name: "kelvin", toCelsius: (value) => value - 273.15 },
  { name: "degrees Fahrenheit", toCelsius: (value) => (value - 32) / 1.8 },
  { name: "tenths of a degree Celsius", toCelsius: (value) => value / 10 },
  { name: "hundredths of a degree Celsius", toCelsius: (value) => value / 100 },
  { name: "hundredths of a kelvin", toCelsius: (value) => value / 100 - 273.15 },
];

/**
 * A skin temperature trace whose unit is in doubt, because its median is no skin temperature in °C but would be one in
 * another unit; or, where the median is plausible, each stretch of samples that are not (one finding for all of them where
 * there are more than twenty).
 *
 * @param trace a temperature; a spread is passed over
 */
export function implausibleValues(timeBase: TimeBase, trace: QualityTrace): Finding[] {
  const { regionId, statistic, values } = trace;
  if (statistic === "standard deviation" || values.length === 0) return [];
  const { min, max } = plausibilityLimits.skinTemperatureC;
  const isSkin = (value: number) => value >= min && value <= max;
  const middle = roughMedian(values);
  if (Number.isNaN(middle)) return [];
  const common = { traces: [{ regionId, statistic }], unit: "°C" } as const;
  if (!isSkin(middle)) {
    const other = otherUnits.find(({ toCelsius }) => isSkin(toCelsius(middle)));
    const guess =
      other === undefined
        ? "It is in no unit that is known here."
        : `In ${other.name} it would be ${other.toCelsius(middle).toFixed(1)} °C.`;
    return [
      finding({
        ...common,
        kind: "unit in doubt",
        fromS: timeAt(timeBase, 0),
        toS: timeAt(timeBase, values.length - 1),
        size: middle,
        count: values.length,
        confidence: other === undefined ? "possible" : "likely",
        meaning: `The middle value is ${middle.toFixed(2)}, which is no skin temperature in °C. ${guess}`,
        whatCanBeDone: "Correct the unit in the column map and read the file again.",
        proposal: null,
      }),
    ];
  }
  const runs = runsOf(values, (value) => Number.isFinite(value) && !isSkin(value));
  const describe = (from: number, to: number, count: number, isOneRun: boolean): Finding => {
    const size = farthestFrom(middle, values, from, to, isSkin);
    const fromS = timeAt(timeBase, from);
    const toS = timeAt(timeBase, to);
    return finding({
      ...common,
      kind: "implausible values",
      fromS,
      toS,
      size,
      count,
      confidence: "sure",
      meaning: `${count === 1 ? "One sample lies" : `${count} samples lie`} outside ${min} to ${max} °C, as far as ${size.toFixed(1)} °C: a word or number for "missing" was read as a temperature, or something other than skin was in view.`,
      whatCanBeDone: isOneRun
        ? "Declare the number as missing in the column map and read again, or mask this stretch."
        : "They are scattered: declare the number as missing in the column map and read the file again.",
      proposal: isOneRun ? { kind: "mask", fromS, toS, series: [seriesKey(trace)] } : null,
    });
  };
  if (runs.length <= mostRuns) return runs.map(([from, to]) => describe(from, to, to - from + 1, true));
  const count = runs.reduce((sum, [from, to]) => sum + to - from + 1, 0);
  return [describe(runs[0]?.[0] ?? 0, runs.at(-1)?.[1] ?? 0, count, false)];
}

/** More runs in one trace are one finding about the whole trace. */
const mostRuns = 20;

/** First and last index of each stretch of values for which something holds. */
function runsOf(values: Float64Array, holds: (value: number) => boolean): [number, number][] {
  const runs: [number, number][] = [];
  for (let i = 0; i < values.length; i++) {
    if (!holds(values[i] as number)) continue;
    const last = runs.at(-1);
    if (last !== undefined && last[1] === i - 1) last[1] = i;
    else runs.push([i, i]);
  }
  return runs;
}

function farthestFrom(
  middle: number,
  values: Float64Array,
  from: number,
  to: number,
  isSkin: (value: number) => boolean,
): number {
  let farthest = middle;
  for (let i = from; i <= to; i++) {
    const value = values[i] as number;
    if (!Number.isFinite(value) || isSkin(value)) continue;
    if (Math.abs(value - middle) > Math.abs(farthest - middle)) farthest = value;
  }
  return farthest;
}
