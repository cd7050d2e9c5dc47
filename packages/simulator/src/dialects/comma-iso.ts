import type { SimulatedSeries } from "../types";
import { utf8 } from "./encode-text";
import { englishWords } from "./trace-name";
import { isoMoment, numberText } from "./write-number";

/** Comma, decimal point, one header row, ISO 8601 moments in UTC, UTF-8, LF; a missing value is an empty cell. */
export function writeCommaIso(series: SimulatedSeries): Uint8Array {
  const header = ["time (UTC)"];
  for (const trace of series.traces) {
    const { what, statistic } = englishWords(trace.target);
    header.push(`${what}${statistic && ` ${statistic}`} [${trace.unit}]`);
  }
  const lines = [header.join(",")];
  series.timesS.forEach((timeS, i) => {
    const cells = [isoMoment(series.startedAt, timeS)];
    for (const trace of series.traces) {
      const value = trace.values[i] ?? Number.NaN;
      cells.push(Number.isNaN(value) ? "" : numberText(value, trace.unit === "1/min" ? 0 : 2));
    }
    lines.push(cells.join(","));
  });
  return utf8(`${lines.join("\n")}\n`);
}
