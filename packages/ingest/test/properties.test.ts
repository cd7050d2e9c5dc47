import { regions } from "@acral/analysis/skin";
import fc from "fast-check";
import { gzipSync } from "fflate";
import { describe, expect, test } from "vitest";
import {
  type ColumnMap,
  detectColumnMap,
  type ReadResult,
  readSourceFile,
  readSourceStream,
  SourceFileError,
} from "../src/index";
import { columnMapFor, handMap, regionColumn } from "./column-maps";
import { corpus } from "./corpus-truth";
import { pieces } from "./drivers";

const lineEnds = ["\n", "\r\n", "\r"] as const;

interface Dialect {
  delimiter: ColumnMap["delimiter"];
  decimalMark: "." | ",";
  grouping: "," | "." | " " | "'" | null;
  encoding: ColumnMap["encoding"];
  lineEnd: (typeof lineEnds)[number];
  mark: boolean;
  quoteAll: boolean;
  gzip: boolean;
  finalBreak: boolean;
  preamble: number;
}

const dialects: fc.Arbitrary<Dialect> = fc
  .record({
    delimiter: fc.constantFrom(",", ";", "\t", "|", "spaces", "wide spaces"),
    decimalMark: fc.constantFrom(".", ","),
    grouping: fc.constantFrom(",", ".", " ", "'", null),
    encoding: fc.constantFrom("utf-8", "utf-16le", "utf-16be", "windows-1252", "iso-8859-1"),
    lineEnd: fc.constantFrom(...lineEnds),
    mark: fc.boolean(),
    quoteAll: fc.boolean(),
    gzip: fc.boolean(),
    finalBreak: fc.boolean(),
    preamble: fc.integer({ min: 0, max: 3 }),
  } satisfies { [Key in keyof Dialect]: fc.Arbitrary<Dialect[Key]> })
  .filter(({ decimalMark, grouping }) => decimalMark !== grouping);

/** Values as whole numbers over powers of ten, so that their text is known without printing a double. */
const cell = fc.option(
  fc.record({
    mantissa: fc.integer({ min: -9_999_999, max: 99_999_999 }),
    scale: fc.integer({ min: 0, max: 5 }),
  }),
  { freq: 6 },
);
type Cell = { mantissa: number; scale: number } | null;

const tables = fc
  .integer({ min: 1, max: 6 })
  .chain((columns) =>
    fc.array(fc.array(cell, { minLength: columns, maxLength: columns }), { minLength: 1, maxLength: 12 }),
  );

function written(value: Cell, { decimalMark, grouping }: Dialect): string {
  if (value === null) return "NaN";
  const digits = String(Math.abs(value.mantissa)).padStart(value.scale + 1, "0");
  let whole = digits.slice(0, digits.length - value.scale);
  if (grouping !== null) whole = whole.replace(/\B(?=(\d{3})+$)/g, grouping);
  const decimals = value.scale === 0 ? "" : decimalMark + digits.slice(digits.length - value.scale);
  return (value.mantissa < 0 ? "-" : "") + whole + decimals;
}

function encode(text: string, { encoding, mark }: Dialect): Uint8Array {
  if (encoding === "utf-8") return new TextEncoder().encode((mark ? "\uFEFF" : "") + text);
  if (encoding === "windows-1252" || encoding === "iso-8859-1")
    return Uint8Array.from(text, (c) => c.charCodeAt(0));
  const marked = (mark ? "\uFEFF" : "") + text;
  const bytes = new Uint8Array(marked.length * 2);
  const view = new DataView(bytes.buffer);
  for (let i = 0; i < marked.length; i++)
    view.setUint16(i * 2, marked.charCodeAt(i), encoding === "utf-16le");
  return bytes;
}

function writeTable(table: Cell[][], dialect: Dialect): { bytes: Uint8Array; map: ColumnMap } {
  const separator =
    dialect.delimiter === "spaces" ? " " : dialect.delimiter === "wide spaces" ? "   " : dialect.delimiter;
  const names = ["time", ...(table[0] ?? []).map((_, i) => `Hände_${i}`)];
  const rows = [names, ...table.map((row, i) => [String(i), ...row.map((value) => written(value, dialect))])];
  const quoted = (text: string) =>
    dialect.quoteAll || text.includes(separator) || (separator.trim() === "" && text.includes(" "))
      ? `"${text}"`
      : text;
  const lines = [
    ...Array.from({ length: dialect.preamble }, (_, i) => `note ${i}`),
    ...rows.map((row) => row.map(quoted).join(separator)),
  ];
  const text = lines.join(dialect.lineEnd) + (dialect.finalBreak ? dialect.lineEnd : "");
  const plain = encode(text, dialect);
  const map = columnMapFor(
    names.slice(1).map((name, i) => regionColumn(i + 1, name, regions[i]?.id ?? "")),
    {
      encoding: dialect.encoding,
      delimiter: dialect.delimiter,
      decimalMark: dialect.decimalMark,
      digitGrouping: dialect.grouping,
      headerLines: [dialect.preamble + 1],
      firstDataLine: dialect.preamble + 2,
    },
  );
  return { bytes: dialect.gzip ? gzipSync(plain) : plain, map };
}

function outcome(read: () => ReadResult): ReadResult | string {
  try {
    return read();
  } catch (error) {
    if (error instanceof SourceFileError) return `${error.code} ${error.line} ${error.message}`;
    throw error;
  }
}

async function streamOutcome(
  bytes: Uint8Array,
  map: ColumnMap,
  sizes: readonly number[],
): Promise<ReadResult | string> {
  try {
    return await readSourceStream(pieces(bytes, sizes), map);
  } catch (error) {
    if (error instanceof SourceFileError) return `${error.code} ${error.line} ${error.message}`;
    throw error;
  }
}

const chunkings = fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 5 });
const corpusBytes = corpus.map((file) => file.bytes);

describe("any table in any dialect", () => {
  test("reads back to the doubles nearest to what was written", () => {
    fc.assert(
      fc.property(tables, dialects, (table, dialect) => {
        const { bytes, map } = writeTable(table, dialect);
        const { traces, report } = readSourceFile(bytes, map);
        expect(report.rowsUsed).toBe(table.length);
        for (const [column, trace] of traces.entries()) {
          const expected = table.map((row) => {
            const value = row[column];
            return value === null || value === undefined
              ? Number.NaN
              : Number(`${value.mantissa}e-${value.scale}`);
          });
          expect([...trace.values]).toEqual(expected);
        }
      }),
      { numRuns: 400 },
    );
  });

  test("reads the same in memory and as a stream, wherever its chunks end", async () => {
    await fc.assert(
      fc.asyncProperty(tables, dialects, chunkings, async (table, dialect, sizes) => {
        const { bytes, map } = writeTable(table, dialect);
        expect(await streamOutcome(bytes, map, sizes)).toEqual(outcome(() => readSourceFile(bytes, map)));
      }),
      { numRuns: 200 },
    );
  });
});

describe("hostile bytes", () => {
  test("never crash detection or reader: they are read, or refused by name", () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
        outcome(() => readSourceFile(bytes, handMap));
        outcome(() => readSourceFile(bytes, detectColumnMap(bytes).columnMap));
      }),
      { numRuns: 1500 },
    );
  });

  test("made of the pieces of tables never crash them either", () => {
    const token = fc.constantFrom(
      ",",
      ";",
      "\t",
      "|",
      " ",
      "  ",
      '"',
      "'",
      "\n",
      "\r",
      "\r\n",
      "1",
      "31.5",
      "31,5",
      "-",
      "NaN",
      "time",
      "hand left mean",
      "°C",
      "10:00:00",
      "2026-02-03",
      "1/2/26",
      "#",
      "\u0000",
      "=1",
      "e",
      ".",
    );
    fc.assert(
      fc.property(fc.array(token, { maxLength: 120 }), (tokens) => {
        const bytes = new TextEncoder().encode(tokens.join(""));
        outcome(() => readSourceFile(bytes, handMap));
        outcome(() => readSourceFile(bytes, detectColumnMap(bytes).columnMap));
      }),
      { numRuns: 2000 },
    );
  });

  test("made from good files by damage are read or refused alike in memory and as a stream", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...corpusBytes),
        fc.array(fc.tuple(fc.double({ min: 0, max: 0.999, noNaN: true }), fc.integer({ min: 0, max: 255 })), {
          maxLength: 4,
        }),
        fc.double({ min: 0.2, max: 1, noNaN: true }),
        chunkings,
        async (original, changes, keep, sizes) => {
          const bytes = original.slice(0, Math.max(1, Math.floor(original.length * keep)));
          for (const [place, byte] of changes) bytes[Math.floor(place * bytes.length)] = byte;
          let map: ColumnMap;
          try {
            map = detectColumnMap(bytes).columnMap;
          } catch (error) {
            expect(error).toBeInstanceOf(SourceFileError);
            return;
          }
          expect(await streamOutcome(bytes, map, sizes)).toEqual(outcome(() => readSourceFile(bytes, map)));
        },
      ),
      { numRuns: 600 },
    );
  });

  test("never yield a number that is not in the file", () => {
    fc.assert(
      fc.property(
        fc.array(fc.constantFrom("1", "2", ".", ",", "-", "e", " ", "x", "+", "'", "°C"), { maxLength: 8 }),
        (characters) => {
          const text = characters.join("");
          const bytes = new TextEncoder().encode(`time;hand\n0;${text}\n`);
          const result = readSourceFile(bytes, { ...handMap, delimiter: ";" });
          const value = result.traces[0]?.values[0] ?? Number.NaN;
          if (Number.isNaN(value)) expect(result.report.missingValues[0]?.missing).toBe(1);
          else expect(value).toBe(Number(text.trim().replace(/\s*°?C$/, "")));
        },
      ),
      { numRuns: 2000 },
    );
  });
});
