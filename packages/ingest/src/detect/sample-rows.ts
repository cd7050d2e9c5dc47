import type { Delimiter, Encoding } from "../column-map";
import { cellEncoding } from "../decode/text-bytes";
import type { ReadLimits } from "../limits";
import { createRowScanner } from "../scan/create-row-scanner";
import { SourceFileError } from "../source-file-error";
import type { Sample } from "./take-sample";

export interface SampleRow {
  line: number;
  cells: string[];
  /** In a workbook: whether each cell is a stored number, and no text that looks like one. */
  stored?: readonly boolean[];
}

export interface ScannedSample {
  rows: SampleRow[];
  /** Set when a quotation mark was still open at the end of the sample. */
  unclosedQuote: boolean;
  /** Set when the sample cannot be scanned this way at all. */
  refusal: SourceFileError | null;
}

const maxRows = 200;

/** The first rows of a sample under one delimiter and quote; blank rows are left out. */
export function sampleRows(
  sample: Sample,
  delimiter: Delimiter,
  quote: '"' | "'" | null,
  limits: ReadLimits,
): ScannedSample {
  const encoding: ReturnType<typeof cellEncoding> = cellEncoding(sample.encoding satisfies Encoding);
  const rows: SampleRow[] = [];
  const scanner = createRowScanner(
    { delimiter, quote, limits },
    {
      row(row) {
        if (rows.length >= maxRows || row.isBlank()) return;
        // What the sample cuts off is no row.
        if (!row.terminated && !sample.complete) return;
        rows.push({
          line: row.line,
          cells: Array.from({ length: row.cellCount }, (_, i) => row.text(i, encoding)),
        });
      },
    },
  );
  try {
    for (let at = 0; at < sample.text.length && rows.length < maxRows; at += 1 << 14) {
      scanner.push(sample.text.subarray(at, at + (1 << 14)));
    }
    if (rows.length < maxRows) scanner.end();
  } catch (error) {
    if (!(error instanceof SourceFileError)) throw error;
    if (error.code === "unclosed-quote") return { rows, unclosedQuote: true, refusal: error };
    return { rows, unclosedQuote: false, refusal: error };
  }
  return { rows, unclosedQuote: false, refusal: null };
}
