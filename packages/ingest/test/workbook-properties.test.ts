import { sampleTimes } from "@acral/analysis/course";
import { regions } from "@acral/analysis/skin";
import fc from "fast-check";
import { strToU8, unzipSync, zipSync } from "fflate";
import { describe, expect, test } from "vitest";
import {
  type ColumnMap,
  detectColumnMap,
  type ReadResult,
  readSourceFile,
  readSourceStream,
  SourceFileError,
} from "../src/index";
import { columnMapFor, regionColumn } from "./column-maps";
import { corpus } from "./corpus-truth";
import { pieces } from "./drivers";
import { texts, type WrittenCell, writeWorkbook } from "./workbooks/write-workbook";

/** Numbers by the digits with which they are stored, so that their text is known without printing a double. */
const stored = fc
  .record({
    mantissa: fc.integer({ min: -9_999_999, max: 99_999_999 }),
    scale: fc.integer({ min: 0, max: 5 }),
    exponent: fc.option(fc.integer({ min: -3, max: 3 })),
  })
  .map(({ mantissa, scale, exponent }) => {
    const digits = String(Math.abs(mantissa)).padStart(scale + 1, "0");
    const decimals = scale === 0 ? "" : `.${digits.slice(digits.length - scale)}`;
    const number = `${mantissa < 0 ? "-" : ""}${digits.slice(0, digits.length - scale)}${decimals}`;
    return exponent === null ? number : `${number}E${exponent}`;
  });

const cell: fc.Arbitrary<{ written: WrittenCell; value: number }> = fc.oneof(
  stored.map((number) => ({ written: { number }, value: Number(number) })),
  stored.map((value) => ({ written: { formula: "A1+A2", value }, value: Number(value) })),
  stored
    .filter((number) => !number.includes("E"))
    .map((shared) => ({ written: { shared }, value: Number(shared) })),
  stored
    .filter((number) => !number.includes("E"))
    .map((inline) => ({ written: { inline }, value: Number(inline) })),
  fc.constant({ written: null, value: Number.NaN }),
  fc.constant({ written: { error: "#DIV/0!" }, value: Number.NaN }),
  fc.constant({ written: { formula: "A1/0", value: null }, value: Number.NaN }),
);

const tables = fc
  .integer({ min: 1, max: 5 })
  .chain((columns) =>
    fc.array(fc.array(cell, { minLength: columns, maxLength: columns }), { minLength: 1, maxLength: 10 }),
  );

const flavours = fc.record({
  prefix: fc.constantFrom(undefined, "x", "main"),
  bare: fc.boolean(),
  epoch: fc.constantFrom(1900 as const, 1904 as const),
});

function mapOf(columns: number): ColumnMap {
  return columnMapFor(
    Array.from({ length: columns }, (_, i) => regionColumn(i + 1, `c${i}`, regions[i]?.id ?? "")),
    { sheet: "Data" },
  );
}

function outcome(read: () => ReadResult): ReadResult | string {
  try {
    return read();
  } catch (error) {
    if (error instanceof SourceFileError) return `${error.code} ${error.line} ${error.message}`;
    throw error;
  }
}

async function streamOutcome(bytes: Uint8Array, map: ColumnMap, sizes: readonly number[]) {
  try {
    return await readSourceStream(pieces(bytes, sizes), map);
  } catch (error) {
    if (error instanceof SourceFileError) return `${error.code} ${error.line} ${error.message}`;
    throw error;
  }
}

const workbooks = corpus.filter(({ name }) => name.endsWith(".xlsx")).map(({ bytes }) => bytes);
const chunkings = fc.array(fc.integer({ min: 1, max: 4000 }), { minLength: 1, maxLength: 4 });

describe("any table in any workbook", () => {
  test("reads back to the doubles nearest to what is stored, in memory and as a stream", async () => {
    await fc.assert(
      fc.asyncProperty(tables, flavours, chunkings, async (table, { prefix, bare, epoch }, sizes) => {
        const columns = table[0]?.length ?? 0;
        const names = Array.from({ length: columns }, (_, i) => `c${i}`);
        const rows = [
          texts("time", ...names),
          ...table.map((row, i) => [{ number: String(i) }, ...row.map(({ written }) => written)]),
        ];
        const bytes = writeWorkbook({
          epoch,
          ...(prefix === undefined ? {} : { prefix }),
          sheets: [{ name: "Data", bare, rows }],
        });
        const map = mapOf(columns);
        const result = readSourceFile(bytes, map);
        expect(result.report.rowsUsed).toBe(table.length);
        expect(result.report.warnings.map(({ kind }) => kind)).not.toContain("fewer cells than columns");
        for (const [column, { values }] of result.traces.entries()) {
          expect([...values]).toEqual(table.map((row) => row[column]?.value));
        }
        expect(await streamOutcome(bytes, map, sizes)).toEqual(result);
      }),
      { numRuns: 150 },
    );
  });

  test("has every moment that is stored as a date, to a hundredth of a millisecond, from either epoch", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: Date.UTC(1990, 0, 1), max: Date.UTC(2080, 0, 1) }),
        fc.array(fc.integer({ min: 1, max: 3_600_000 }), { minLength: 1, maxLength: 8 }),
        fc.constantFrom(1900 as const, 1904 as const),
        (start, steps, epoch) => {
          const moments = [start];
          for (const step of steps) moments.push((moments.at(-1) ?? start) + step);
          const days = (moment: number) => moment / 86_400_000 + (epoch === 1900 ? 25_569 : 24_107);
          const rows = [
            texts("time", "c0"),
            ...moments.map((moment): WrittenCell[] => [
              { number: String(days(moment)), format: "yyyy-mm-dd hh:mm:ss.000" },
              { number: "31.5" },
            ]),
          ];
          const bytes = writeWorkbook({ epoch, sheets: [{ name: "Data", rows }] });
          const base = mapOf(1);
          const result = readSourceFile(bytes, {
            ...base,
            time: { ...base.time, format: "date and time", zone: "Z" },
          });
          expect(result.startedAt).toBe(new Date(start).toISOString());
          const times = [...sampleTimes(result.timeBase)];
          for (const [i, moment] of moments.entries()) {
            expect(Math.abs((times[i] ?? Number.NaN) - (moment - start) / 1000)).toBeLessThan(1e-5);
          }
        },
      ),
      { numRuns: 150 },
    );
  });
});

describe("hostile workbooks", () => {
  test("made from good ones by damage are read or refused alike in memory and as a stream", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...workbooks),
        fc.array(fc.tuple(fc.double({ min: 0, max: 0.999, noNaN: true }), fc.integer({ min: 0, max: 255 })), {
          maxLength: 4,
        }),
        fc.double({ min: 0.5, max: 1, noNaN: true }),
        fc.boolean(),
        chunkings,
        async (original, changes, keep, cut, sizes) => {
          const bytes = original.slice(0, cut ? Math.floor(original.length * keep) : original.length);
          for (const [place, byte] of changes) bytes[Math.floor(place * bytes.length)] = byte;
          const { columnMap } = detectColumnMap(original);
          outcome(() => readSourceFile(bytes, detectColumnMap(bytes).columnMap));
          expect(await streamOutcome(bytes, columnMap, sizes)).toEqual(
            outcome(() => readSourceFile(bytes, columnMap)),
          );
        },
      ),
      { numRuns: 200 },
    );
  });

  test("with a sheet of any XML are read, or refused by name", () => {
    const good = unzipSync(workbooks[0] ?? new Uint8Array(0));
    const token = fc.constantFrom(
      "<worksheet>",
      "</worksheet>",
      "<sheetData>",
      "</sheetData>",
      "<row>",
      '<row r="2">',
      '<row r="99">',
      "</row>",
      "<c>",
      '<c r="B2">',
      '<c t="s">',
      '<c t="b">',
      '<c t="inlineStr">',
      '<c s="1">',
      '<c s="-1">',
      "</c>",
      "<v>",
      "</v>",
      "<f>",
      "</f>",
      "<is>",
      "</is>",
      "<t>",
      "</t>",
      "1",
      "31.5",
      "-",
      "1e999",
      "&amp;",
      "&#0;",
      "&x;",
      "<![CDATA[31]]>",
      '<mergeCell ref="A1:XFD1048576"/>',
      '<mergeCell ref="B1:A0"/>',
      '<col min="1" max="9" hidden="1"/>',
      "<!-- -->",
      " ",
    );
    fc.assert(
      fc.property(fc.array(token, { maxLength: 60 }), fc.boolean(), (tokens, wrapped) => {
        const body = tokens.join("");
        const xml = wrapped ? `<worksheet><sheetData>${body}</sheetData></worksheet>` : body;
        const bytes = zipSync({ ...good, "xl/worksheets/sheet1.xml": strToU8(xml) });
        outcome(() =>
          readSourceFile(bytes, { ...mapOf(1), sheet: "Recording", headerLines: [], firstDataLine: 1 }),
        );
        outcome(() => readSourceFile(bytes, detectColumnMap(bytes).columnMap));
      }),
      { numRuns: 300 },
    );
  });

  test("never yield a number that is not in the file", () => {
    fc.assert(
      fc.property(
        fc.array(fc.constantFrom("1", "2", ".", ",", "-", "e", "E", " ", "x", "+", "0", "∞"), {
          maxLength: 8,
        }),
        fc.constantFrom("number" as const, "shared" as const, "inline" as const),
        (characters, kind) => {
          const text = characters.join("");
          const written =
            kind === "number" ? { number: text } : kind === "shared" ? { shared: text } : { inline: text };
          const bytes = writeWorkbook({
            sheets: [
              {
                name: "Data",
                rows: [texts("time", "c0"), [{ number: "0" }, written], [{ number: "1" }, { number: "1" }]],
              },
            ],
          });
          const result = readSourceFile(bytes, mapOf(1));
          const value = result.traces[0]?.values[0] ?? Number.NaN;
          expect(result.report.rowsUsed).toBe(2);
          if (Number.isNaN(value)) expect(result.report.missingValues[0]?.missing).toBe(1);
          else expect(value).toBe(Number(text.trim()));
        },
      ),
      { numRuns: 400 },
    );
  });
});
