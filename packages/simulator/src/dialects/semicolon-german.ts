import type { SimulatedSeries } from "../types";
import { windows1252 } from "./encode-text";
import { germanWords } from "./trace-name";
import { clockTime, numberText } from "./write-number";

/**
 * Semicolon, decimal comma, German names, time of day, Windows-1252, CRLF, three lines of preamble and one of
 * summary at the end; a missing value is a dash.
 */
export function writeSemicolonGerman(series: SimulatedSeries): Uint8Array {
  const [year, month, day] = series.startedAt.slice(0, 10).split("-");
  const header = ["Uhrzeit"];
  for (const trace of series.traces) {
    const { what, statistic } = germanWords(trace.target);
    header.push(`${what}${statistic && ` ${statistic}`} (${trace.unit})`);
  }
  const lines = [
    "Messprotokoll (erfundene Daten)",
    `Datum;${day}.${month}.${year}`,
    "Raum;Bootshaus, Prüfraum 2",
    header.join(";"),
  ];
  series.timesS.forEach((timeS, i) => {
    const cells = [clockTime(series.startedAt, timeS)];
    for (const trace of series.traces) {
      const value = trace.values[i] ?? Number.NaN;
      const digits = trace.unit === "1/min" ? 0 : 2;
      cells.push(Number.isNaN(value) ? "-" : numberText(value, digits).replace(".", ","));
    }
    lines.push(cells.join(";"));
  });
  lines.push(`Ende der Messung, ${series.timesS.length} Zeilen`);
  return windows1252(`${lines.join("\r\n")}\r\n`);
}
