import type { SimulatedSeries } from "../types";
import { utf16LittleEndian } from "./encode-text";
import { englishWords } from "./trace-name";
import { elapsedTenths, numberText } from "./write-number";

/**
 * Tab, °F, elapsed hh:mm:ss.f, two header rows (region over statistic and unit), UTF-16 with mark, CRLF;
 * a missing value is an empty cell.
 */
export function writeTabFahrenheit(series: SimulatedSeries): Uint8Array {
  const names = ["elapsed"];
  const units = ["hh:mm:ss.f"];
  for (const trace of series.traces) {
    if (trace.target.kind === "region" && trace.target.statistic === "standard deviation") {
      throw new RangeError(
        "tab-fahrenheit: a spread is not written in °F, since 32 °F must not be taken off it",
      );
    }
    const { what, statistic } = englishWords(trace.target);
    names.push(what);
    units.push(`${statistic && `${statistic} `}${trace.unit === "°C" ? "°F" : trace.unit}`);
  }
  const lines = [names.join("\t"), units.join("\t")];
  series.timesS.forEach((timeS, i) => {
    const cells = [elapsedTenths(timeS)];
    for (const trace of series.traces) {
      const value = trace.values[i] ?? Number.NaN;
      if (Number.isNaN(value)) cells.push("");
      else cells.push(trace.unit === "1/min" ? numberText(value, 0) : numberText(value * 1.8 + 32, 2));
    }
    lines.push(cells.join("\t"));
  });
  return utf16LittleEndian(`${lines.join("\r\n")}\r\n`);
}
