import type { SimulatedSeries } from "../types";
import { utf8 } from "./encode-text";
import { englishWords } from "./trace-name";
import { numberText } from "./write-number";

/**
 * Columns aligned with spaces, kelvin, milliseconds from the start, names joined by underscores, UTF-8, LF;
 * a missing value is NaN.
 */
export function writeAlignedKelvin(series: SimulatedSeries): Uint8Array {
  const names = ["time_ms"];
  for (const trace of series.traces) {
    if (trace.target.kind === "region" && trace.target.statistic === "standard deviation") {
      throw new RangeError(
        "aligned-kelvin: a spread is not written in K, since 273.15 K must not be taken off it",
      );
    }
    const { what, statistic } = englishWords(trace.target);
    const name = `${what}${statistic && ` ${statistic}`}`.replaceAll(" ", "_");
    names.push(`${name}_${trace.unit === "°C" ? "K" : "per_min"}`);
  }
  const lines = [names.join(" ")];
  series.timesS.forEach((timeS, i) => {
    const cells = [String(Math.round(timeS * 1000))];
    for (const trace of series.traces) {
      const value = trace.values[i] ?? Number.NaN;
      if (Number.isNaN(value)) cells.push("NaN");
      else cells.push(trace.unit === "1/min" ? numberText(value, 0) : numberText(value + 273.15, 2));
    }
    lines.push(cells.map((cell) => cell.padStart(8)).join(" "));
  });
  return utf8(`${lines.join("\n")}\n`);
}
