import { gzipSync, zipSync } from "fflate";
import { describe, expect, test } from "vitest";
import {
  type ColumnMap,
  defaultLimits,
  detectColumnMap,
  readSourceFile,
  SourceFileError,
  type SourceFileErrorCode,
} from "../src/index";
import { bytesOf, columnMapFor, handMap, regionColumn } from "./column-maps";
import { drivers } from "./drivers";

function refusal(action: () => unknown): SourceFileError {
  try {
    action();
  } catch (error) {
    if (error instanceof SourceFileError) return error;
    throw error;
  }
  throw new Error("was not refused");
}

const good = "time,hand\n0,31.5\n1,31.4\n2,31.3\n";
const openDocument = zipSync({
  mimetype: [bytesOf("application/vnd.oasis.opendocument.spreadsheet"), { level: 0 }],
  "content.xml": bytesOf("<office:document-content/>"),
});
const png = Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13);
const damaged = gzipSync(bytesOf(good));
damaged[damaged.length - 6] = (damaged[damaged.length - 6] ?? 0) ^ 0xff;

/** Two members, of which the first has a wrong checksum. */
const damagedFirst = Uint8Array.of(...damaged, ...gzipSync(bytesOf("3,31.2\n")));

interface Hostile {
  what: string;
  bytes: Uint8Array;
  code: SourceFileErrorCode;
  says: RegExp;
  map?: ColumnMap;
}

const bothWays: Hostile[] = [
  { what: "an empty file", bytes: new Uint8Array(0), code: "empty-file", says: /empty.*Export it again/ },
  { what: "a gzip of nothing", bytes: gzipSync(new Uint8Array(0)), code: "empty-file", says: /empty/ },
  {
    what: "an OpenDocument sheet under another name",
    bytes: openDocument,
    code: "unsupported-container",
    says: /OpenDocument.*XLSX workbook or as CSV/,
  },
  {
    what: "an old binary spreadsheet",
    bytes: Uint8Array.of(0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1, 0, 0, 0, 0),
    code: "unsupported-container",
    says: /XLS.*password.*XLSX workbook/,
  },
  {
    what: "a ZIP",
    bytes: zipSync({ "a.csv": bytesOf(good) }),
    code: "unsupported-container",
    says: /ZIP archive.*Unpack it/,
  },
  { what: "a PDF", bytes: bytesOf("%PDF-1.7 ..."), code: "binary-file", says: /PDF document.*CSV/ },
  { what: "an image", bytes: png, code: "binary-file", says: /PNG image/ },
  { what: "a PNG in a gzip", bytes: gzipSync(png), code: "binary-file", says: /PNG image/ },
  {
    what: "a gzip in a gzip",
    bytes: gzipSync(gzipSync(bytesOf(good))),
    code: "unsupported-container",
    says: /another gzip/,
  },
  { what: "a web page", bytes: bytesOf("<!DOCTYPE html><html><table>"), code: "not-a-table", says: /HTML/ },
  { what: "a JSON file", bytes: bytesOf('[{"time": 0, "hand": 31.5}]'), code: "not-a-table", says: /JSON/ },
  { what: "a gzip with a wrong checksum", bytes: damaged, code: "damaged-gzip", says: /damaged/ },
  {
    what: "a gzip whose first member has a wrong checksum",
    bytes: damagedFirst,
    code: "damaged-gzip",
    says: /checksum/,
  },
  {
    what: "a gzip that ends too early",
    bytes: gzipSync(bytesOf(good)).subarray(0, 30),
    code: "damaged-gzip",
    says: /too early|damaged/,
  },
];

describe.each(bothWays)("$what", ({ bytes, code, says }) => {
  test("is refused by detection", () => {
    const error = refusal(() => detectColumnMap(bytes));
    expect([error.code, error.message]).toEqual([code, expect.stringMatching(says)]);
  });

  test.each(drivers)("is refused by the reader $name", async ({ read }) => {
    await expect(read(bytes, handMap)).rejects.toMatchObject({ code, message: expect.stringMatching(says) });
  });
});

const inReader: (Hostile & { line?: number; column?: number })[] = [
  {
    what: "a NUL byte in the middle",
    bytes: bytesOf("time,hand\n0,31.5\n1,3\u00001.4\n"),
    code: "not-text",
    says: /Line 3 holds a NUL byte/,
    line: 3,
    column: 2,
  },
  {
    what: "a quotation mark that is never closed",
    bytes: bytesOf('time,hand\n0,31.5\n1,"31.4\n2,31.3\n'),
    code: "unclosed-quote",
    says: /line 3 is never closed/,
    line: 3,
  },
  {
    what: "another header than the column map's",
    bytes: bytesOf("time,foot\n0,31.5\n"),
    code: "header-differs",
    says: /Column 2 is named "foot".*"hand"/,
    line: 1,
    column: 2,
  },
  {
    what: "no rows after the header",
    bytes: bytesOf("time,hand\n"),
    code: "no-data-rows",
    says: /no row of data from line 2 on/,
  },
  {
    what: "no time that can be read",
    bytes: bytesOf("time,hand\nnow,31.5\nthen,31.4\n"),
    code: "no-data-rows",
    says: /first is on line 2: "now"/,
    line: 2,
    column: 1,
  },
  {
    what: "UTF-16 read as UTF-8",
    bytes: Uint8Array.of(0xff, 0xfe, 0x74, 0),
    code: "encoding-differs",
    says: /UTF-16LE/,
  },
  {
    what: "an unknown unit",
    bytes: bytesOf(good),
    code: "unknown-unit",
    says: /unit "mV" of column 2 \("hand"\).*°C, °F, K/,
    map: columnMapFor([regionColumn(1, "hand", "hand-left-dorsal", "mV")]),
    column: 2,
  },
  {
    what: "a unit that is not stated",
    bytes: bytesOf(good),
    code: "unknown-unit",
    says: /unit of column 2 \("hand"\) is not known/,
    map: columnMapFor([regionColumn(1, "hand", "hand-left-dorsal", null)]),
    column: 2,
  },
  {
    what: "an unknown region",
    bytes: bytesOf(good),
    code: "unknown-region",
    says: /tail-left/,
    map: columnMapFor([regionColumn(1, "hand", "tail-left-dorsal")]),
  },
  {
    what: "nothing mapped",
    bytes: bytesOf(good),
    code: "nothing-to-read",
    says: /nothing to read/,
    map: columnMapFor([]),
  },
  {
    what: "one target for two columns",
    bytes: bytesOf(good),
    code: "bad-column-map",
    says: /Columns 2 and 3 are both mapped to hand-left-dorsal, mean/,
    map: columnMapFor([regionColumn(1, "a", "hand-left-dorsal"), regionColumn(2, "b", "hand-left-dorsal")]),
  },
  {
    what: "one column for two things",
    bytes: bytesOf(good),
    code: "bad-column-map",
    says: /column 1 stands in it twice/,
    map: columnMapFor([regionColumn(0, "time", "hand-left-dorsal")]),
    column: 1,
  },
  {
    what: "no time column",
    bytes: bytesOf(good),
    code: "no-time-column",
    says: /Choose the time column/,
    map: { ...handMap, time: { ...handMap.time, columns: [] } },
  },
  {
    what: "frames without a rate",
    bytes: bytesOf(good),
    code: "frame-rate-missing",
    says: /Enter the frame rate/,
    map: { ...handMap, time: { ...handMap.time, format: "frame number" } },
  },
  {
    what: "text in a number column when that is to refuse",
    bytes: bytesOf("time,hand\n0,31.5\n1,warm\n"),
    code: "bad-number",
    says: /Line 3, column 2 \("hand"\) holds "warm"/,
    map: { ...handMap, unreadable: "refuse" },
    line: 3,
    column: 2,
  },
];

describe.each(inReader)("$what", ({ bytes, code, says, map, line, column }) => {
  test.each(drivers)("is refused $name", async ({ read }) => {
    const expected: Record<string, unknown> = { code, message: expect.stringMatching(says) };
    if (line !== undefined) expected.line = line;
    if (column !== undefined) expected.column = column;
    await expect(Promise.resolve().then(() => read(bytes, map ?? handMap))).rejects.toMatchObject(expected);
  });
});

test.each(drivers)("a gzip of two members is read as one text $name", async ({ read }) => {
  const both = Uint8Array.of(...gzipSync(bytesOf(good)), ...gzipSync(bytesOf("3,31.2\n")));
  expect([...((await read(both, handMap)).traces[0]?.values ?? [])]).toEqual([31.5, 31.4, 31.3, 31.2]);
});

test("rows aligned with spaces that all lack a cell are refused, since nobody can tell which one", () => {
  const text = "time left-hand right-hand\n0 31.5\n1 31.4\n";
  const detected = detectColumnMap(bytesOf(text.replace("31.5", "31.5 31.7").replace("31.4", "31.4 31.6")));
  expect(refusal(() => readSourceFile(bytesOf(text), detected.columnMap))).toMatchObject({
    code: "no-data-rows",
    message: expect.stringMatching(/fewer cells.*first on line 2.*commas/),
    line: 2,
  });
});

describe("files meant to exhaust", () => {
  test("a gzip bomb is refused before it fills the memory", () => {
    const bomb = gzipSync(new Uint8Array(64 * 2 ** 20).fill(0x30), { level: 9 });
    expect(refusal(() => readSourceFile(bomb, handMap))).toMatchObject({
      code: expect.stringMatching(/too-large|line-too-long/),
    });
    const rows = gzipSync(bytesOf(`time,hand\n${"0,31.5\n".repeat(4_000_000)}`), { level: 9 });
    expect(refusal(() => readSourceFile(rows, handMap))).toMatchObject({
      code: "too-large",
      message: expect.stringMatching(/300 times/),
    });
  });

  test("a hundred thousand columns are refused by detection and reader", () => {
    const header = `time,${Array.from({ length: 100_000 }, (_, i) => `c${i}`).join(",")}\n`;
    expect(refusal(() => readSourceFile(bytesOf(header), handMap)).code).toBe("too-many-columns");
    const row = `${Array.from({ length: 100_000 }, (_, i) => i % 10).join(",")}\n`;
    expect(refusal(() => detectColumnMap(bytesOf(row.repeat(3)))).code).toMatch(
      /too-many-columns|no-data-rows/,
    );
  });

  test("one line of many megabytes is refused", () => {
    const line = new Uint8Array(16 * 2 ** 20).fill(0x31);
    expect(refusal(() => readSourceFile(line, handMap)).code).toBe("line-too-long");
    expect(refusal(() => detectColumnMap(line)).code).toMatch(/line-too-long|no-data-rows/);
  });

  test("more values than the limit are refused, naming the line", () => {
    const text = `time,hand\n${Array.from({ length: 20 }, (_, i) => `${i},31.5\n`).join("")}`;
    expect(
      refusal(() => readSourceFile(bytesOf(text), handMap, { ...defaultLimits, maxValues: 20 })),
    ).toMatchObject({ code: "too-large", line: 12 });
  });
});
