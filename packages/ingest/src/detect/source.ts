import type { Delimiter, Encoding } from "../column-map";
import { decodeText } from "../decode/decode-text";
import { cellEncoding } from "../decode/text-bytes";
import { TextPipeline } from "../decode/text-pipeline";
import type { Doubt, Preview } from "../detection";
import type { ReadLimits } from "../limits";
import type { RowSink } from "../scan/row-scanner";
import { findTable, type Table } from "./find-table";
import { takeSample } from "./take-sample";

/** What detection looks at: a text, or one sheet of a workbook. */
export interface Source {
  readonly sheet: string | null;
  readonly encoding: Encoding;
  readonly doubts: readonly Doubt[];
  /** The table in the first rows. */
  table(delimiter?: Delimiter): Table;
  /** What stands above this line or row, as text. */
  preamble(until: number): Preview["preamble"];
  /** All rows of the file, as far as its bytes are there; `most` stops after about so many bytes. */
  scan(table: Table, sink: RowSink, most?: number): void;
}

/** What the numbers of places count. */
export type Place = "line" | "row";

export function placeOf({ sheet }: Source): Place {
  return sheet === null ? "line" : "row";
}

export function textSource(bytes: Uint8Array, limits: ReadLimits): Source {
  const sample = takeSample(bytes, limits);
  const { encoding, doubts } = sample;
  return {
    sheet: null,
    encoding,
    doubts,
    table: (delimiter) => findTable(sample, limits, delimiter),
    preamble(until) {
      if (until <= 1) return [];
      const head = Math.min(sample.text.length, 1 << 16);
      return decodeText(sample.text, 0, head, cellEncoding(encoding))
        .split(/\r\n|\r|\n/)
        .slice(0, until - 1)
        .map((line, i) => ({ line: i + 1, text: line.slice(0, 500) }))
        .filter(({ text }) => text.trim() !== "");
    },
    scan({ delimiter, quote }, sink, most = bytes.length) {
      const pipeline = new TextPipeline(encoding, { delimiter, quote, limits }, sink);
      pipeline.push(bytes.subarray(0, most));
      if (most >= bytes.length) pipeline.end();
    },
  };
}
