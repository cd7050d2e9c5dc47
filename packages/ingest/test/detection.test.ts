import { describe, expect, test } from "vitest";
import { type Detection, detectColumnMap, readSourceFile, SourceFileError } from "../src/index";
import { bytesOf } from "./column-maps";

function detect(text: string): Detection {
  return detectColumnMap(bytesOf(text));
}

function kinds(detection: Detection): string[] {
  return detection.doubts.map((doubt) => doubt.kind);
}

const header = "time (s);left hand dorsal mean (°C);right hand dorsal mean (°C)\n";
const rows = "0;31.2;31.1\n1;31.1;31.0\n2;31.0;30.9\n";

describe("a column map is proposed", () => {
  test("with a confidence and a reason for every column", () => {
    const { guesses, columnMap } = detect(header + rows);
    expect(guesses.map((guess) => guess.column)).toEqual([0, 1, 2]);
    for (const { confidence, reason } of guesses) {
      expect(confidence).toBeGreaterThan(0.9);
      expect(confidence).toBeLessThanOrEqual(1);
      expect(reason).not.toBe("");
    }
    expect(columnMap.decidedBy).toBe("detection");
  });

  test("with a preview of notes, header and first rows, and their line numbers", () => {
    const { preview } = detect(`Room: 23 degrees\n\n${header}${rows}`);
    expect(preview).toEqual({
      columnCount: 3,
      preamble: [{ line: 1, text: "Room: 23 degrees" }],
      header: [{ line: 3, cells: ["time (s)", "left hand dorsal mean (°C)", "right hand dorsal mean (°C)"] }],
      rows: [
        { line: 4, cells: ["0", "31.2", "31.1"] },
        { line: 5, cells: ["1", "31.1", "31.0"] },
        { line: 6, cells: ["2", "31.0", "30.9"] },
      ],
    });
  });

  test("from the first rows only, however long the file is", () => {
    const long = detect(header + Array.from({ length: 300_000 }, (_, i) => `${i};31.2;31.1\n`).join(""));
    expect(long.preview.rows).toHaveLength(20);
    expect(kinds(long)).toEqual([]);
  });
});

describe("the layout fingerprint", () => {
  test("is the same for another recording of the same layout", () => {
    expect(detect(header + rows).fingerprint).toBe(
      detect(`note\n${header}5;29.9;28.8\n6;29.8;28.7\n`).fingerprint,
    );
  });

  test("does not see case and spaces in names", () => {
    expect(detect(header.toUpperCase() + rows).fingerprint).toBe(detect(header + rows).fingerprint);
  });

  test("differs with a name, the delimiter or the number of columns", () => {
    const others = [
      header.replace("right hand", "left foot") + rows,
      (header + rows).replaceAll(";", "\t"),
      header.replace("\n", ";remark\n") + rows.replaceAll("\n", ";x\n"),
    ];
    const fingerprints = new Set([header + rows, ...others].map((text) => detect(text).fingerprint));
    expect(fingerprints.size).toBe(4);
  });
});

describe("what cannot be used is said, never guessed over", () => {
  test("a first row of data that is damaged, and so looks like names, is doubted by its line", () => {
    const { doubts } = detect('time (s),left hand dorsal mean (°C)\n0,"33.10\n1,33.20\n2,33.30\n');
    expect(doubts).toContainEqual(expect.objectContaining({ kind: "header", line: 2 }));
  });

  test.each(["[mV]", "(°R)", "°X", " mV"])(
    "an unknown unit %s is kept as written, doubted, and refused at reading",
    (unit) => {
      const bytes = bytesOf(`time s;left forearm anterior mean ${unit}\n0;33,1\n1;33,2\n`);
      const detection = detectColumnMap(bytes);
      expect(kinds(detection)).toEqual(["unit"]);
      expect(() => readSourceFile(bytes, detection.columnMap)).toThrow(
        expect.objectContaining({ code: "unknown-unit", column: 2 }),
      );
    },
  );

  test("a file without a time column has a map without one, a doubt, and is refused at reading", () => {
    const bytes = bytesOf(
      "left forearm anterior mean,left hand dorsal mean\n33.1,31.0\n33.2,31.1\n33.3,31.2\n",
    );
    const detection = detectColumnMap(bytes);
    expect(detection.columnMap.time.columns).toEqual([]);
    expect(kinds(detection)).toContain("time column");
    expect(() => readSourceFile(bytes, detection.columnMap)).toThrow(
      expect.objectContaining({ code: "no-time-column" }),
    );
  });

  test.each([
    "a,b,c\nfoo,bar,baz\nqux,quux,corge\n",
    "Dear reader,\nthis is a letter.\n",
    "31.5\n31.4\n31.3\n",
  ])("%j holds no table of numbers with a time", (text) => {
    expect(() => detect(text)).toThrow(SourceFileError);
  });

  test("numbers that do not fit the stated unit are doubted", () => {
    const detection = detect("time (s);left hand dorsal mean (°C)\n0;304.2\n1;304.1\n2;304.0\n");
    expect(detection.columnMap.columns[1]?.unit).toBe("°C");
    expect(detection.doubts).toEqual([
      expect.objectContaining({ kind: "unit", column: 1, alternatives: ["°F", "K"] }),
    ]);
  });

  test("a unit that only the numbers suggest is doubted", () => {
    const detection = detect("time (s);left hand dorsal mean\n0;88.2\n1;88.1\n2;88.0\n");
    expect(detection.columnMap.columns[1]?.unit).toBe("°F");
    expect(kinds(detection)).toEqual(["unit"]);
  });

  test("two columns for the same region and statistic: the second is left out and doubted", () => {
    const detection = detect(
      "time (s),left hand dorsal mean (C),hand l dorsal avg (C)\n0,31.2,31.1\n1,31.1,31.0\n",
    );
    expect(detection.columnMap.columns[2]?.use).toEqual({ kind: "ignore" });
    expect(kinds(detection)).toEqual(["same target twice"]);
  });

  test("more cells than names: the delimiter is doubted", () => {
    const detection = detect("time (s),left hand dorsal mean (C)\n0,0,31,2\n1,0,31,1\n2,0,31,0\n");
    expect(kinds(detection)).toContain("delimiter");
  });

  test("a time of day soon after midnight may also be elapsed", () => {
    expect(kinds(detect("time;left hand dorsal mean (C)\n00:10:00;31.2\n00:10:05;31.1\n"))).toContain(
      "time column",
    );
  });

  test("two columns that could both be the time", () => {
    const text = "elapsed (s),time (s),left hand dorsal mean (C)\n0,0,31.2\n1,1,31.1\n2,2,31.0\n";
    expect(detect(text).doubts).toContainEqual(
      expect.objectContaining({ kind: "time column", guessed: "elapsed (s)", alternatives: ["time (s)"] }),
    );
  });
});

describe("hostile names", () => {
  test("markup and formulas in a header stay text", () => {
    const detection = detect(
      "time (s);<img src=x> left hand dorsal mean;=HYPERLINK(1)\n0;31.2;1\n1;31.1;2\n",
    );
    expect(detection.columnMap.columns.map((column) => column.name)).toEqual([
      "time (s)",
      "<img src=x> left hand dorsal mean",
      "=HYPERLINK(1)",
    ]);
  });

  test("very long names are no names: they match nothing, and nothing hangs on them", () => {
    const { columnMap } = detect(
      `time (s);${"[( left ".repeat(12_000)};${"a".repeat(50_000)}\n0;31.2;1\n1;31.1;2\n`,
    );
    expect(columnMap.columns.map((column) => column.use.kind)).toEqual(["time", "ignore", "ignore"]);
  });
});

describe("what stands above the table", () => {
  const body = "time (s);left hand dorsal mean (°C)\n0;31.2\n1;31.1\n";

  test.each([
    ["Start time: 10:15:30", { clock: "10:15:30", date: null }],
    ["Started at 2026-02-03T10:15:30.25", { clock: "10:15:30.25", date: "2026-02-03" }],
    ["Recording started: Feb 3, 2026 2:05 pm", { clock: "14:05:00", date: "2026-02-03" }],
    ["Beginn: 03.02.2026 09:05 Uhr", { clock: "09:05:00", date: "2026-02-03" }],
    ["Heure de début : 9h05", { clock: "09:05:00", date: null }],
    ["Hora de inicio: 12:00:01 a.m.", { clock: "00:00:01", date: null }],
    ["Ora inizio;09:05:07", { clock: "09:05:07", date: null }],
    ["Starttijd: 09:05:07", { clock: "09:05:07", date: null }],
    ["Hora de início: 09:05:07", { clock: "09:05:07", date: null }],
    ["Date: 2026-02-03\nStart time: 10:15:30", { clock: "10:15:30", date: "2026-02-03" }],
    // A day or a month first: the date is left out rather than guessed.
    ["Start: 03/02/2026 10:15:30", { clock: "10:15:30", date: null }],
    ["Restart interval: 10:15", { clock: null, date: null }],
    ["Started by AB", { clock: null, date: null }],
    ["Start at 25:99", { clock: null, date: null }],
  ])("%j says when the count begins", (line, time) => {
    expect(detect(`${line}\n${body}`).columnMap.time).toMatchObject(time);
  });

  test("a start beside a count that begins elsewhere than at zero is doubted", () => {
    const detection = detect(
      "Start time: 10:15:30\ntime (s);left hand dorsal mean (°C)\n600;31.2\n601;31.1\n",
    );
    expect(kinds(detection)).toEqual(["start"]);
  });

  test("a date says from which year a spreadsheet's days are counted", () => {
    const serials = "time;left hand dorsal mean (°C)\n44594.5;31.2\n44594.6;31.1\n";
    const from1904 = detect(`Date: 2026-02-03\n${serials}`);
    expect([from1904.columnMap.time.serialEpoch, kinds(from1904)]).toEqual([1904, []]);
    const from1900 = detect(`Date: 2022-02-02\n${serials}`);
    expect([from1900.columnMap.time.serialEpoch, kinds(from1900)]).toEqual([1900, []]);
    expect(kinds(detect(serials))).toEqual(["first day"]);
  });
});

describe("more than one table in a file", () => {
  const names = "time (s);left hand dorsal mean (°C)\n";
  const read = (text: string) => readSourceFile(bytesOf(text), detect(text).columnMap);

  test("a recording that begins anew below another one is doubted, and refused with the line to split at", () => {
    const text = `${names}0;31.2\n10;31.1\n20;31.0\n${names}0;30.9\n10;30.8\n`;
    expect(detect(text).doubts).toEqual([expect.objectContaining({ kind: "blocks", line: 5 })]);
    expect(() => read(text)).toThrow(
      expect.objectContaining({
        code: "blocks-differ",
        line: 5,
        message: expect.stringMatching(/line 5.*at 0 s after 20 s.*Split it there/),
      }),
    );
  });

  test("with times of the day, or later ones, a header that comes again changes nothing", () => {
    const dated = "time;left hand dorsal mean (°C)\n";
    const text = `${dated}2026-02-03 10:00:00;31.2\n2026-02-03 10:00:10;31.1\n${dated}2026-02-03 10:05:00;31.0\n`;
    expect(read(text).report.warnings.map(({ kind }) => kind)).toEqual(["header repeated"]);
  });

  test("a header with other names under the map for the first one is refused: its numbers belong elsewhere", () => {
    const first = `${names}0;31.2\n1;31.1\n`;
    const { columnMap } = detect(first);
    const text = `${first}time (s);right hand dorsal mean (°C)\n0;30.2\n1;30.1\n`;
    expect(() => readSourceFile(bytesOf(text), columnMap)).toThrow(
      expect.objectContaining({ code: "blocks-differ", line: 4, column: 2 }),
    );
  });

  test("upper rows of a header that come again are held to the first ones too", () => {
    const head = (region: string) => `;left hand dorsal;;${region};\ntime (s);mean;max;mean;max\n`;
    const first = `${head("left foot dorsal")}0;31;33;28;30\n1;31;33;28;30\n`;
    const { columnMap } = detect(first);
    const again = (region: string) =>
      readSourceFile(bytesOf(`${first}${head(region)}2;31;33;28;30\n`), columnMap);
    expect(again("left foot dorsal").report.rowsNotUsed).toContainEqual({
      reason: "header repeated",
      count: 2,
      lines: [5, 6],
    });
    expect(() => again("right foot dorsal")).toThrow(
      expect.objectContaining({ code: "blocks-differ", line: 5, column: 4 }),
    );
  });

  test("tables below each other that say what they hold are series of one column map", () => {
    const text = `Left hand dorsal\ntime (s);mean (°C)\n0;31.2\n1;31.1\nRight hand dorsal\ntime (s);mean (°C)\n0;30.2\n1;30.1\n`;
    const { columnMap, doubts } = detect(text);
    expect(columnMap).toMatchObject({
      layout: "blocks",
      series: [
        { key: ["Left hand dorsal", "mean (°C)"], use: { regionId: "hand-left-dorsal" }, unit: "°C" },
        { key: ["Right hand dorsal", "mean (°C)"], use: { regionId: "hand-right-dorsal" }, unit: "°C" },
      ],
    });
    expect(doubts).toEqual([]);
  });

  test("a block that is not in the column map is counted, never read under another one", () => {
    const block = (title: string) => `${title}\ntime (s);mean (°C)\n0;31.2\n1;31.1\n`;
    const { columnMap } = detect(block("Left hand dorsal") + block("Right hand dorsal"));
    const text = block("Left hand dorsal") + block("Left foot dorsal");
    const { report, traces } = readSourceFile(bytesOf(text), columnMap);
    expect(traces[1]?.values).toEqual(Float64Array.of(Number.NaN, Number.NaN));
    expect(report.rowsNotUsed).toContainEqual({
      reason: "series not in the column map",
      count: 2,
      lines: [7, 8],
    });
  });

  test("the same time over both of two tables side by side needs no doubt", () => {
    const text =
      "time (s);left hand dorsal mean (°C);time (s);left foot dorsal mean (°C)\n0;31.2;0;28.2\n1;31.1;1;28.1\n";
    const { columnMap } = detect(text);
    expect(columnMap.columns.map(({ use }) => use.kind)).toEqual(["time", "region", "ignore", "region"]);
    expect(kinds(detect(text))).not.toContain("blocks");
  });

  test("rows of numbers above the header are doubted", () => {
    expect(kinds(detect(`1;2;3\n4;5;6\n${names}0;31.2\n1;31.1\n2;31\n3;30.9\n`))).toContain("rows above");
  });
});
