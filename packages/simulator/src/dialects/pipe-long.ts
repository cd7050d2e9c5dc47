import type { SimulatedSeries } from "../types";
import { utf8 } from "./encode-text";
import { englishWords } from "./trace-name";
import { numberText } from "./write-number";

/**
 * Long layout: one row per time and series, pipe, seconds from the start, UTF-8 with mark, LF, preamble lines beginning
 * with "#"; a missing value has no row.
 */
export function writePipeLong(series: SimulatedSeries): Uint8Array {
  const words = series.traces.map(({ target, unit }) => {
    const { what, statistic } = englishWords(target);
    return `${what}|${statistic}|${unit}`;
  });
  const lines = [
    "# skin temperature recording (invented data)",
    `# started: ${series.startedAt}`,
    "seconds|region|statistic|unit|value",
  ];
  series.timesS.forEach((timeS, i) => {
    series.traces.forEach((trace, at) => {
      const value = trace.values[i] ?? Number.NaN;
      if (Number.isNaN(value)) return;
      lines.push(`${timeS}|${words[at]}|${numberText(value, trace.unit === "1/min" ? 0 : 3)}`);
    });
  });
  return utf8(`\ufeff${lines.join("\n")}\n`);
}
