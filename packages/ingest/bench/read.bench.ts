import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parse } from "csv-parse/sync";
import Papa from "papaparse";
import type { BenchLine } from "../../../scripts/bench";
import { detectColumnMap, type ReadResult, readSourceFile } from "../src/index";
import { DuckDbColumns } from "./duckdb-columns";
import { oneHour, rowsPerHour, traceCount } from "./one-hour";

const rounds = 8;

/** MB/s of the quickest of several runs of each reader, taken in turns so that other work disturbs all alike. */
async function throughputs(bytes: number, readers: readonly (() => unknown)[]): Promise<number[]> {
  const best = readers.map(() => Number.POSITIVE_INFINITY);
  for (let round = 0; round < rounds; round++) {
    for (const [i, read] of readers.entries()) {
      const start = performance.now();
      await read();
      best[i] = Math.min(best[i] ?? Number.POSITIVE_INFINITY, performance.now() - start);
    }
  }
  return best.map((ms) => bytes / 1e3 / ms);
}

function detectAndRead(bytes: Uint8Array): ReadResult {
  return readSourceFile(bytes, detectColumnMap(bytes).columnMap);
}

/** Stops unless the traces hold exactly what `Number` and DuckDB make of the same cells. */
function requireSame(bytes: Uint8Array, duckDb: readonly Float64Array[]): void {
  const { traces, report } = detectAndRead(bytes);
  const text = new TextDecoder().decode(bytes.subarray(0, 1 << 20));
  const rows: string[][] = parse(text.slice(0, text.lastIndexOf("\n") + 1));
  if (traces.length !== traceCount || report.rowsUsed !== rowsPerHour) {
    throw new Error(
      `${traces.length} traces of ${report.rowsUsed} rows were read, not ${traceCount} of ${rowsPerHour}.`,
    );
  }
  for (const { column, values } of traces) {
    for (const [row, cells] of rows.slice(1).entries()) {
      if (values[row] !== Number(cells[column]))
        throw new Error(`row ${row + 2}, column ${column + 1}: ${values[row]}, not ${cells[column]}`);
    }
    const same = duckDb[column];
    if (same?.length !== values.length || !values.every((value, row) => value === same[row]))
      throw new Error(`Column ${column + 1} is not what DuckDB reads.`);
  }
}

function speedLine(what: string, own: number, reference: number, wanted: number): BenchLine {
  const ratio = own / reference;
  return {
    name: `read one hour at 30 Hz x 60 columns, against ${what.split(",")[0]}`,
    value: own,
    unit: "MB/s",
    reference: { what, value: reference },
    ratio,
    wanted: wanted === 1 ? "at least as fast" : `at least ${wanted} times`,
    ok: ratio >= wanted,
  };
}

/** MiB that a fresh process grows by, beyond the traces, while it reads a stream of so many megabytes. */
function memoryAbove(megabytes: number): number {
  const script = fileURLToPath(new URL("./memory-of-reading.ts", import.meta.url));
  const printed = execFileSync(process.execPath, [...process.execArgv, script, String(megabytes)], {
    encoding: "utf8",
  });
  const { peakBytes } = JSON.parse(printed) as { peakBytes: number };
  return peakBytes / 2 ** 20;
}

async function speeds(): Promise<BenchLine[]> {
  const bytes = oneHour();
  const folder = mkdtempSync(join(tmpdir(), "acral-bench-"));
  try {
    const path = join(folder, "hour.csv");
    writeFileSync(path, bytes);
    const header = new TextDecoder().decode(bytes.subarray(0, bytes.indexOf(10)));
    const duckDb = await DuckDbColumns.open(path, header.split(","));
    requireSame(bytes, await duckDb.read());
    const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const [own = 0, csvParse = 0, papa = 0, duck = 0] = await throughputs(bytes.length, [
      () => detectAndRead(bytes),
      () => parse(buffer),
      () => Papa.parse(buffer.toString("utf8")),
      () => duckDb.read(),
    ]);
    duckDb.close();
    return [
      speedLine("csv-parse, parsing only", own, csvParse, 2),
      speedLine("papaparse, parsing only", own, papa, 2),
      speedLine("DuckDB, on one thread, told the types, into arrays", own, duck, 1),
    ];
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** From bytes to typed traces, detection included, against readers that are told everything or only parse to strings. */
export async function run(): Promise<BenchLine[]> {
  const lines = await speeds();
  const small = memoryAbove(1);
  for (const megabytes of [1, 100, 1000]) {
    const value = megabytes === 1 ? small : memoryAbove(megabytes);
    lines.push({
      name: `memory above the traces while a stream of ${megabytes} MB is read`,
      value,
      unit: "MiB",
      reference: { what: "a stream of 1 MB", value: small },
      ratio: small / value,
      wanted: "under 64 MiB",
      ok: value < 64,
    });
  }
  return lines;
}
