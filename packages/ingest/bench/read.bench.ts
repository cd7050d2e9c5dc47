import { regions } from "@acral/analysis/skin";
import { parse } from "csv-parse/sync";
import Papa from "papaparse";
import type { BenchLine } from "../../../scripts/bench";
import { detectColumnMap, type ReadResult, readSourceFile, SourceReader } from "../src/index";

const statistics = ["mean", "max", "min"];
const framesPerSecond = 30;

/** One hour at 30 Hz, twenty regions x mean, max and min: invented numbers, about 43 MB of text. */
function oneHour(): Uint8Array {
  const wanted = regions.filter((region) => region.side !== "midline").slice(0, 20);
  const names = wanted.flatMap((region) =>
    statistics.map((statistic) => `${region.label.replaceAll(",", "")} ${statistic} [°C]`),
  );
  const lines = [`time [s],${names.join(",")}`];
  for (let frame = 0; frame < 3600 * framesPerSecond; frame++) {
    let line = (frame / framesPerSecond).toFixed(4);
    for (let column = 0; column < names.length; column++) {
      const value =
        30 + 3 * Math.sin(frame / 5000 + column) + ((frame * 7919 + column * 104_729) % 100) / 1000;
      line += `,${value.toFixed(column % 2 === 0 ? 3 : 2)}`;
    }
    lines.push(line);
  }
  return new TextEncoder().encode(`${lines.join("\n")}\n`);
}

/** MB/s of the quickest of several runs of each reader, taken in turns so that other work disturbs all alike. */
function throughputs(bytes: number, rounds: number, readers: readonly (() => unknown)[]): number[] {
  const best = readers.map(() => Number.POSITIVE_INFINITY);
  for (let round = 0; round < rounds; round++) {
    for (const [i, read] of readers.entries()) {
      const start = performance.now();
      read();
      best[i] = Math.min(best[i] ?? Number.POSITIVE_INFINITY, performance.now() - start);
    }
  }
  return best.map((ms) => bytes / 1e3 / ms);
}

function detectAndRead(bytes: Uint8Array): ReadResult {
  return readSourceFile(bytes, detectColumnMap(bytes).columnMap);
}

function requireSame(bytes: Uint8Array): void {
  const { traces, report } = detectAndRead(bytes);
  const text = new TextDecoder().decode(bytes.subarray(0, 1 << 20));
  const rows: string[][] = parse(text.slice(0, text.lastIndexOf("\n") + 1));
  if (traces.length !== 60 || report.rowsUsed !== 3600 * framesPerSecond) {
    throw new Error(`${traces.length} traces of ${report.rowsUsed} rows were read, not 60 of 108000`);
  }
  for (const trace of traces) {
    for (const [row, cells] of rows.slice(1).entries()) {
      if (trace.values[row] !== Number(cells[trace.column])) {
        throw new Error(
          `row ${row + 2}, column ${trace.column + 1}: ${trace.values[row]}, not ${cells[trace.column]}`,
        );
      }
    }
  }
}

function line(name: string, value: number, what: string, reference: number): BenchLine {
  const ratio = value / reference;
  return {
    name,
    value,
    unit: "MB/s",
    reference: { what, value: reference },
    ratio,
    wanted: "at least 2 times",
    ok: ratio >= 2,
  };
}

/** Peak of array buffers and heap above what the traces themselves need, in MiB, while a stream of `copies` hours is read. */
function memoryAbove(bytes: Uint8Array, copies: number): number {
  const { columnMap } = detectColumnMap(bytes);
  const headerEnd = bytes.indexOf(10) + 1;
  const used = () => {
    const { heapUsed, arrayBuffers } = process.memoryUsage();
    return heapUsed + arrayBuffers;
  };
  const before = used();
  const reader = new SourceReader(columnMap);
  const rowsPerCopy = 3600 * framesPerSecond;
  let peak = 0;
  reader.push(bytes.subarray(0, headerEnd));
  for (let copy = 0; copy < copies; copy++) {
    for (let at = headerEnd; at < bytes.length; at += 1 << 18) {
      reader.push(bytes.subarray(at, at + (1 << 18)));
      const share = (copy + Math.min(1, at / bytes.length)) * rowsPerCopy * 61 * 8;
      peak = Math.max(peak, used() - before - share);
    }
  }
  reader.end();
  return peak / 2 ** 20;
}

/** From bytes to typed traces, detection included, against general-purpose readers that only parse to strings. */
export async function run(): Promise<BenchLine[]> {
  const bytes = oneHour();
  requireSame(bytes);
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const [own = 0, csvParse = 0, papa = 0] = throughputs(bytes.length, 6, [
    () => detectAndRead(bytes),
    () => parse(buffer),
    () => Papa.parse(buffer.toString("utf8")),
  ]);
  const small = memoryAbove(bytes, 1);
  const large = memoryAbove(bytes, 4);
  return [
    line("read one hour at 30 Hz x 60 columns, against csv-parse", own, "csv-parse, parsing only", csvParse),
    line("read one hour at 30 Hz x 60 columns, against papaparse", own, "papaparse, parsing only", papa),
    {
      name: "memory above the traces while a stream of four hours is read",
      value: large,
      unit: "MiB",
      reference: { what: "a stream of one hour", value: small },
      ratio: small / large,
      wanted: "under 64 MiB",
      ok: large < 64,
    },
  ];
}
