import { gzipSync } from "fflate";
import { writeAlignedKelvin } from "./dialects/aligned-kelvin";
import { writeCommaIso } from "./dialects/comma-iso";
import { writePipeLong } from "./dialects/pipe-long";
import { writeSemicolonGerman } from "./dialects/semicolon-german";
import { writeTabFahrenheit } from "./dialects/tab-fahrenheit";
import type { Dialect, SimulatedSeries } from "./types";

/**
 * The bytes of a source file in one of the dialects, all of them our own invention. Throws a RangeError when the
 * dialect cannot hold the series (a spread in °F or K, fractions of a second where only whole ones are written).
 */
export function writeSourceFile(series: SimulatedSeries, dialect: Dialect): Uint8Array {
  switch (dialect) {
    case "comma-iso":
      return writeCommaIso(series);
    case "comma-iso-gzip":
      // A fixed moment in the gzip header; fflate is JavaScript, so that its bytes do not vary with the machine.
      return gzipSync(writeCommaIso(series), { level: 6, mtime: 0 });
    case "semicolon-german":
      return writeSemicolonGerman(series);
    case "tab-fahrenheit":
      return writeTabFahrenheit(series);
    case "pipe-long":
      return writePipeLong(series);
    case "aligned-kelvin":
      return writeAlignedKelvin(series);
  }
}

export function fileExtension(dialect: Dialect): string {
  switch (dialect) {
    case "comma-iso":
      return "csv";
    case "comma-iso-gzip":
      return "csv.gz";
    case "semicolon-german":
      return "csv";
    case "tab-fahrenheit":
      return "tsv";
    case "pipe-long":
      return "txt";
    case "aligned-kelvin":
      return "dat";
  }
}
