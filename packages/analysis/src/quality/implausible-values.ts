import { plausibilityLimits } from "../body";
import { type TimeBase, timeAt } from "../course";
import type { Finding, QualityTrace } from "./finding";
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
 * another unit; or, where the median is plausible, its samples that are not.
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
      {
        ...common,
        kind: "unit in doubt",
        fromS: timeAt(timeBase, 0),
        toS: timeAt(timeBase, values.length - 1),
        size: middle,
        count: values.length,
        confidence: other === undefined ? "possible" : "likely",
        message: `The middle value is ${middle.toFixed(2)}, which is no skin temperature in °C. ${guess} Correct the unit in the column map.`,
      },
    ];
  }
  const outside: number[] = [];
  for (const [i, value] of values.entries()) if (Number.isFinite(value) && !isSkin(value)) outside.push(i);
  const first = outside[0];
  const last = outside.at(-1);
  if (first === undefined || last === undefined) return [];
  const farthest = outside.reduce((far, i) => {
    const value = values[i] as number;
    return Math.abs(value - middle) > Math.abs(far - middle) ? value : far;
  }, middle);
  return [
    {
      ...common,
      kind: "implausible values",
      fromS: timeAt(timeBase, first),
      toS: timeAt(timeBase, last),
      size: farthest,
      count: outside.length,
      confidence: "sure",
      message: `${outside.length} samples lie outside ${min} to ${max} °C, as far as ${farthest.toFixed(1)} °C: a word for "missing" may have been read as a number, or something other than skin was in view.`,
    },
  ];
}
