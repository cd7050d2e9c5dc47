import { strToU8, unzipSync, zipSync } from "fflate";
import { describe, expect, test } from "vitest";
import {
  type ColumnMap,
  defaultLimits,
  detectColumnMap,
  type ReadLimits,
  readFirstRows,
  readSourceFile,
  SourceFileError,
} from "../src/index";
import { numberFormatKind } from "../src/workbook/number-format-kind";
import { serialText } from "../src/workbook/serial-text";
import { columnMapFor, handMap, regionColumn } from "./column-maps";
import { drivers } from "./drivers";
import {
  numbers,
  texts,
  type WrittenCell,
  type WrittenSheet,
  writeWorkbook,
} from "./workbooks/write-workbook";

const header = texts("time (s)", "left hand dorsal mean (°C)");

function sheetOf(rows: readonly (readonly WrittenCell[])[], more: Partial<WrittenSheet> = {}): Uint8Array {
  return writeWorkbook({ sheets: [{ name: "Cam", rows: [header, ...rows], ...more }] });
}

const plain = [numbers("0", "31.5"), numbers("1", "31.4"), numbers("2", "31.3")];

function read(bytes: Uint8Array, change: Partial<ColumnMap> = {}) {
  const { columnMap } = detectColumnMap(bytes);
  return readSourceFile(bytes, { ...columnMap, ...change });
}

function refusal(action: () => unknown): SourceFileError {
  try {
    action();
  } catch (error) {
    if (error instanceof SourceFileError) return error;
    throw error;
  }
  throw new Error("was not refused");
}

function values(bytes: Uint8Array): (number | null)[] {
  return [...(read(bytes).traces[0]?.values ?? [])].map((value) => (Number.isNaN(value) ? null : value));
}

describe("a workbook", () => {
  test.each(drivers)("is read $name by a column map that names its sheet", async ({ read: drive }) => {
    const bytes = sheetOf(plain);
    const { traces, report } = await drive(bytes, detectColumnMap(bytes).columnMap);
    expect([...(traces[0]?.values ?? [])]).toEqual([31.5, 31.4, 31.3]);
    expect(report).toMatchObject({ bytes: bytes.length, places: "row", lines: 4, rowsRead: 3, rowsUsed: 3 });
  });

  test("keeps what its numbers are, however many digits they are stored with", () => {
    const stored = ["31.300000000000001", "3.1E1", "31.123456789012344", "0.31e2", "-0.5", "1E-7"];
    expect(values(sheetOf(stored.map((number, i) => numbers(String(i), number))))).toEqual(
      stored.map(Number),
    );
  });

  test("in kelvin comes out in °C exactly, although 304.65 is stored with seventeen digits", () => {
    const bytes = writeWorkbook({
      sheets: [
        {
          name: "Cam",
          rows: [
            texts("time (s)", "left hand dorsal mean (K)"),
            numbers("0", "304.64999999999998"),
            numbers("1", "304.55000000000001"),
          ],
        },
      ],
    });
    expect(values(bytes)).toEqual([31.5, 31.4]);
  });

  test("may name neither its rows nor its cells, and may prefix its elements", () => {
    const bytes = writeWorkbook({
      prefix: "x",
      sheets: [{ name: "Cam", bare: true, rows: [header, ...plain] }],
    });
    expect(values(bytes)).toEqual([31.5, 31.4, 31.3]);
  });

  test("gives texts in runs and without readings over them, and control characters by their code", () => {
    const files = unzipSync(sheetOf(plain));
    files["xl/sharedStrings.xml"] = strToU8(
      "<sst><si><t>time (s)</t></si><si><r><t>left hand </t></r><r><t>dorsal_x000A_mean (°C)</t></r><rPh sb='0' eb='1'><t>not this</t></rPh></si></sst>",
    );
    const { columnMap } = detectColumnMap(zipSync(files));
    expect(columnMap.columns[1]?.name).toBe("left hand dorsal mean (°C)");
  });

  test("counts formulas, and takes the value that was computed last", () => {
    const bytes = sheetOf([
      ...plain,
      [{ number: "3" }, { formula: "B4-0.1", value: "31.2" }],
      [{ number: "4" }, { formula: "B5-0.1", value: null }],
    ]);
    const { traces, report } = read(bytes);
    expect([...(traces[0]?.values ?? [])].slice(3)).toEqual([31.2, Number.NaN]);
    expect(report.warnings).toContainEqual(
      expect.objectContaining({
        kind: "formula",
        count: 1,
        lines: [5],
        message: expect.stringMatching(/row 5/),
      }),
    );
    expect(report.missingValues[0]?.unreadableCells).toEqual([{ line: 6, text: "=B5-0.1" }]);
  });

  test("has booleans and errors that are no numbers, each with its row", () => {
    const bytes = sheetOf([
      ...plain,
      [{ number: "3" }, { boolean: true }],
      [{ number: "4" }, { error: "#DIV/0!" }],
      [{ number: "5" }, { error: "#N/A" }],
    ]);
    const { report } = read(bytes);
    // #N/A is the spreadsheets' own word for "no value".
    expect(report.missingValues[0]).toMatchObject({
      missing: 3,
      unreadableCells: [
        { line: 5, text: "TRUE" },
        { line: 6, text: "#DIV/0!" },
      ],
    });
  });

  test("has a number that a spreadsheet took for a date: it is unreadable, never a value of 46173", () => {
    const bytes = sheetOf([...plain, [{ number: "3" }, { number: "46173", format: "d-mmm" }]]);
    expect(read(bytes).report.missingValues[0]?.unreadableCells).toEqual([{ line: 5, text: "2026-05-31" }]);
  });

  test("says what is hidden or merged in it, and reads it all the same", () => {
    const bytes = sheetOf(plain, { hiddenRows: [3], hiddenColumns: [2], merged: ["A3:A4", "D1:E9"] });
    const { report } = read(bytes);
    expect(report.warnings.map(({ kind, count }) => [kind, count])).toEqual([
      ["hidden row", 1],
      ["merged cells", 1],
      ["hidden column", 1],
    ]);
    expect(report.rowsUsed).toBe(3);
  });

  test("has rows that were never written to: they count as blank, and the others keep their numbers", () => {
    const bytes = writeWorkbook({
      sheets: [{ name: "Cam", rows: [header, ...plain.slice(0, 2), null, null, numbers("4", "31.1")] }],
    });
    const { report, traces } = read(bytes);
    expect(report.rowsNotUsed).toContainEqual({ reason: "blank", count: 2, lines: [4, 5] });
    expect(traces[0]?.values).toHaveLength(3);
  });

  test("of which only the first rows are wanted is not unpacked to its end", () => {
    const rows = Array.from({ length: 60_000 }, (_, i) => numbers(String(i), `31.${i % 10}`));
    const bytes = sheetOf(rows);
    const { report } = readFirstRows(bytes, detectColumnMap(bytes).columnMap);
    expect(report.rowsUsed).toBeGreaterThan(2000);
    expect(report.rowsUsed).toBeLessThan(30_000);
  });
});

describe("dates in a workbook", () => {
  const dated = (epoch: 1900 | 1904, serials: readonly string[], format: string) =>
    writeWorkbook({
      epoch,
      sheets: [
        {
          name: "Cam",
          rows: [
            texts("time", "left hand dorsal mean (°C)"),
            ...serials.map((number): WrittenCell[] => [{ number, format }, { number: "31.5" }]),
          ],
        },
      ],
    });

  // 46056.3958333333 is 2026-02-03 09:30 counted from 1900; from 1904 it is 44594.3958333333 (1462 days less, ECMA-376).
  test.each([
    [1900, ["46056.395833333336", "46056.395844907405", "46056.395856481482"]],
    [1904, ["44594.395833333336", "44594.395844907405", "44594.395856481482"]],
  ] as const)("count from %d as the workbook says", (epoch, serials) => {
    const bytes = dated(epoch, serials, "dd\\.mm\\.yyyy hh:mm:ss.000");
    const result = read(bytes);
    expect(result.startedAt).toBe("2026-02-03T09:30:00.000");
    expect(result.timeBase).toEqual({ kind: "regular", startS: 0, stepS: 1, count: 3 });
  });

  test("of ten frames in a second stay a tenth of a second apart", () => {
    const serials = Array.from({ length: 50 }, (_, i) => String(46_056 + (34_200 + i / 10) / 86_400));
    expect(read(dated(1900, serials, "hh:mm:ss.0")).timeBase).toEqual({
      kind: "regular",
      startS: 0,
      stepS: 0.1,
      count: 50,
    });
  });

  test("without a date format are days of the workbook's own calendar", () => {
    const bytes = writeWorkbook({
      epoch: 1904,
      sheets: [
        {
          name: "Cam",
          rows: [
            texts("time", "left hand dorsal mean (°C)"),
            numbers("44594.5", "31.5"),
            numbers("44594.75", "31"),
          ],
        },
      ],
    });
    const { columnMap, doubts } = detectColumnMap(bytes);
    expect(columnMap.time).toMatchObject({ format: "spreadsheet serial", serialEpoch: 1904 });
    expect(doubts).toEqual([]);
    expect(readSourceFile(bytes, columnMap).startedAt).toBe("2026-02-03T12:00:00.000");
  });

  // Codes of ECMA-376 part 1, 18.8.30 and 18.8.31.
  test.each([
    ["yyyy-mm-dd", "date"],
    ["dd/mm/yyyy hh:mm", "date and time"],
    ["[$-407]d. mmmm yyyy", "date"],
    ["h:mm AM/PM", "time of day"],
    ["hh:mm:ss.000", "time of day"],
    ["[h]:mm:ss", "elapsed"],
    ["mm:ss.0", "elapsed"],
    ["mmm", "date"],
    ["0.00", null],
    ["General", null],
    ['#,##0.0 "days"', null],
    ["[Red]0.0;[Blue]-0.0", null],
    ["0.00E+00", null],
    ["@", null],
  ] as const)("the format %j shows a number as %s", (code, kind) => {
    expect(numberFormatKind(code)).toBe(kind);
  });

  test("around the 29 February 1900 that never was", () => {
    expect(serialText(366, "date", 1900)).toBe("1900-12-31");
    expect(serialText(1.5, "date and time", 1900)).toBe("1900-01-01 12:00:00");
    expect(serialText(61, "date", 1900)).toBe("1900-03-01");
    expect(serialText(59, "date", 1900)).toBe("1900-02-28");
    expect(serialText(0, "date", 1904)).toBe("1904-01-01");
  });
});

describe("the sheet", () => {
  const notes: WrittenSheet = { name: "Notes", rows: [texts("What", "Who"), texts("bench stepping", "AB")] };
  const long = Array.from({ length: 40 }, (_, i) => numbers(String(i), "31.5"));

  test("with most of a recording is proposed, and that there are others is a doubt", () => {
    const bytes = writeWorkbook({
      sheets: [notes, { name: "Short", rows: [header, ...plain] }, { name: "Long", rows: [header, ...long] }],
    });
    const { columnMap, doubts, sheets } = detectColumnMap(bytes);
    expect(columnMap.sheet).toBe("Long");
    expect(doubts).toEqual([
      expect.objectContaining({ kind: "sheet", guessed: "Long", alternatives: ["Short"] }),
    ]);
    expect(sheets).toEqual(["Notes", "Short", "Long"].map((name) => ({ name, hidden: false })));
  });

  test("that a person chooses is taken", () => {
    const bytes = writeWorkbook({
      sheets: [
        { name: "Short", rows: [header, ...plain] },
        { name: "Long", rows: [header, ...long] },
      ],
    });
    expect(detectColumnMap(bytes, { sheet: "Short" }).columnMap.sheet).toBe("Short");
  });

  test("that is hidden is proposed only when no other holds a recording, with a doubt", () => {
    const hidden: WrittenSheet = { name: "Raw", hidden: true, rows: [header, ...long] };
    const both = writeWorkbook({ sheets: [hidden, { name: "Cam", rows: [header, ...plain] }] });
    expect(detectColumnMap(both).columnMap.sheet).toBe("Cam");
    expect(detectColumnMap(writeWorkbook({ sheets: [hidden, notes] })).doubts).toEqual([
      expect.objectContaining({ kind: "sheet", guessed: "Raw" }),
    ]);
  });

  test("is part of the layout fingerprint, without the numbers in its name", () => {
    const print = (name: string) =>
      detectColumnMap(writeWorkbook({ sheets: [{ name, rows: [header, ...plain] }] })).fingerprint;
    expect(print("Trial 2026-02-03")).toBe(print("Trial 2026-02-04"));
    expect(print("left")).not.toBe(print("right"));
  });
});

const good = sheetOf(plain);
const mapOfGood = detectColumnMap(good).columnMap;

function changed(change: (files: Record<string, Uint8Array>) => void): Uint8Array {
  const files = unzipSync(good);
  change(files);
  return zipSync(files);
}

describe("a workbook that cannot be read is refused by name", () => {
  test.each<[string, Uint8Array, Partial<ReadLimits>, string, RegExp]>([
    ["cut off", good.subarray(0, good.length - 100), {}, "damaged-workbook", /cut off/],
    [
      "without its sheet",
      changed((files) => {
        delete files["xl/worksheets/sheet1.xml"];
      }),
      {},
      "damaged-workbook",
      /"Cam" is missing/,
    ],
    [
      "a document type with entities",
      changed((files) => {
        files["xl/worksheets/sheet1.xml"] = strToU8(
          '<!DOCTYPE w [<!ENTITY a "31"><!ENTITY b "&a;&a;">]><worksheet><sheetData/></worksheet>',
        );
      }),
      {},
      "damaged-workbook",
      /document type/,
    ],
    [
      "XML that is not well-formed",
      changed((files) => {
        files["xl/worksheets/sheet1.xml"] = strToU8("<worksheet><sheetData></worksheet>");
      }),
      {},
      "damaged-workbook",
      /well-formed/,
    ],
    [
      "rows in the wrong order",
      changed((files) => {
        files["xl/worksheets/sheet1.xml"] = strToU8(
          '<worksheet><sheetData><row r="1"/><row r="1"/></sheetData></worksheet>',
        );
      }),
      {},
      "damaged-workbook",
      /row/,
    ],
    [
      "a text that is not there",
      changed((files) => {
        files["xl/sharedStrings.xml"] = strToU8("<sst/>");
      }),
      {},
      "damaged-workbook",
      /refers to a text/,
    ],
    [
      "a binary workbook",
      changed((files) => {
        files["xl/workbook.bin"] = strToU8("x");
      }),
      {},
      "unsupported-container",
      /XLSB/,
    ],
    [
      "a text document",
      zipSync({ "[Content_Types].xml": strToU8("<Types/>"), "word/document.xml": strToU8("<w/>") }),
      {},
      "unsupported-container",
      /text document/,
    ],
    ["more bytes than are opened", good, { maxWorkbookBytes: 1000 }, "too-large", /as CSV/],
    ["too many parts", good, { maxZipEntries: 3 }, "too-large", /parts/],
    ["too much text", good, { maxSharedCharacters: 10 }, "too-large", /characters of text/],
    ["a sheet that unpacks to too much", good, { maxSheetBytes: 500 }, "too-large", /unpacks to more than/],
  ])("%s", (_what, bytes, limits, code, says) => {
    const error = refusal(() => readSourceFile(bytes, mapOfGood, { ...defaultLimits, ...limits }));
    expect([error.code, error.message]).toEqual([code, expect.stringMatching(says)]);
    const detected = refusal(() => detectColumnMap(bytes, { limits: { ...defaultLimits, ...limits } }));
    expect(detected.code).toBe(code);
  });

  test("a bomb, before it fills the memory", () => {
    const bomb = changed((files) => {
      files["xl/worksheets/sheet1.xml"] = strToU8(
        `<worksheet><sheetData>${"<a/>".repeat(6 * 2 ** 20)}</sheetData></worksheet>`,
      );
    });
    expect(bomb.length).toBeLessThan(200_000);
    expect(refusal(() => readSourceFile(bomb, mapOfGood))).toMatchObject({
      code: "too-large",
      message: expect.stringMatching(/300 times/),
    });
  });

  test("one cell of many megabytes", () => {
    const long = changed((files) => {
      files["xl/worksheets/sheet1.xml"] = strToU8(
        `<worksheet><sheetData><row><c t="inlineStr"><is><t>${"ab".repeat(4 * 2 ** 20)}</t></is></c></row></sheetData></worksheet>`,
      );
    });
    expect(refusal(() => readSourceFile(long, mapOfGood)).code).toBe("too-large");
  });

  test("a sheet of another name, with the names that there are", () => {
    expect(refusal(() => readSourceFile(good, { ...mapOfGood, sheet: "Log" }))).toMatchObject({
      code: "no-such-sheet",
      message: expect.stringMatching(/no sheet named "Log".*"Cam"/),
    });
  });

  test("by a column map for text, and a text by one for a workbook", () => {
    expect(refusal(() => readSourceFile(good, handMap))).toMatchObject({
      code: "bad-column-map",
      message: expect.stringMatching(/workbook/),
    });
    const text = new TextEncoder().encode("time,hand\n0,31.5\n");
    expect(refusal(() => readSourceFile(text, { ...handMap, sheet: "Cam" }))).toMatchObject({
      code: "bad-column-map",
      message: expect.stringMatching(/sheet "Cam"/),
    });
  });

  test("with places that are rows", () => {
    const map = columnMapFor([regionColumn(1, "hand", "hand-left-dorsal")], {
      sheet: "Cam",
      headerLines: [],
      firstDataLine: 9,
    });
    expect(refusal(() => readSourceFile(good, map)).message).toMatch(/from row 9 on/);
  });
});
