import { sampleTimes } from "@acral/analysis/course";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type ColumnMap, readSourceFile } from "../src/index";
import { bytesOf, columnMapFor, regionColumn } from "./column-maps";

function readTimes(
  cells: readonly string[],
  time: Partial<ColumnMap["time"]>,
  change: Partial<ColumnMap> = {},
) {
  const base = columnMapFor([regionColumn(1, "hand", "hand-left-dorsal")], { delimiter: ";", ...change });
  const text = `time;hand\n${cells.map((cell) => `${cell};31.5\n`).join("")}`;
  const result = readSourceFile(bytesOf(text), { ...base, time: { ...base.time, ...time } });
  return { ...result, times: [...sampleTimes(result.timeBase)] };
}

describe("time in every spelling", () => {
  test.each<[string, string[], Partial<ColumnMap["time"]>, number[]]>([
    ["seconds", ["5", "5.5", "6.25"], { format: "number", unit: "s" }, [5, 5.5, 6.25]],
    ["milliseconds", ["33", "66.5"], { format: "number", unit: "ms" }, [0.033, 0.0665]],
    ["minutes", ["0.1", "0.55"], { format: "number", unit: "min" }, [6, 33]],
    ["hours", ["0.1", "0.15"], { format: "number", unit: "h" }, [360, 540]],
    ["elapsed hours beyond a day", ["23:59:59", "25:00:00.25"], { format: "elapsed" }, [86_399, 90_000.25]],
    ["elapsed minutes", ["00:10", "01:05,5"], { format: "elapsed" }, [10, 65.5]],
    ["elapsed before the start", ["-00:00:05", "00:00:05"], { format: "elapsed" }, [-5, 5]],
    ["clock", ["9:59", "10:00"], { format: "clock" }, [0, 60]],
    [
      "clock with milliseconds behind a colon",
      ["10:00:00:250", "10:00:00:750"],
      { format: "clock" },
      [0, 0.5],
    ],
    ["12-hour clock through noon", ["11:59:59 a.m.", "12:00:01 p.m."], { format: "clock" }, [0, 2]],
    ["12-hour clock through midnight", ["11:59:59 PM", "12:00:01AM"], { format: "clock" }, [0, 2]],
    [
      "12-hour clock with other spaces",
      ["12:59:59 p. m.", "1:00:00\u202fp.\u00a0m.", "1:00:01\u00a0PM"],
      { format: "clock" },
      [0, 1, 2],
    ],
    ["clock with h", ["10h15", "10h16"], { format: "clock" }, [0, 60]],
    ["ISO 8601 basic", ["20260203T101500Z", "20260203T101501Z"], { format: "date and time" }, [0, 1]],
    [
      "ISO 8601 across a change of offset",
      ["2026-10-25T02:59:59+02:00", "2026-10-25T02:00:00+01:00"],
      { format: "date and time" },
      [0, 1],
    ],
    [
      "two-digit years",
      ["03.02.26 10:00:00", "03.02.26 10:00:02"],
      { format: "date and time", dateOrder: "day-month-year" },
      [0, 2],
    ],
    [
      "dates without time of day",
      ["3/2/2026", "4/2/2026"],
      { format: "date and time", dateOrder: "day-month-year" },
      [0, 86_400],
    ],
    [
      "month first",
      ["2/28/2026 23:59:59", "3/1/2026 0:00:00"],
      { format: "date and time", dateOrder: "month-day-year" },
      [0, 1],
    ],
    [
      "French month names",
      ["3 févr. 2026 10:00:00", "3 févr. 2026 10:00:03"],
      { format: "date and time", dateOrder: "day-month-year" },
      [0, 3],
    ],
    [
      "English month first",
      ["Feb 3, 2026 10:00:00", "Feb 3, 2026 10:00:01"],
      { format: "date and time" },
      [0, 1],
    ],
    ["Unix seconds", ["1770107400.5", "1770107401.75"], { format: "unix", unit: "s" }, [0, 1.25]],
    ["Unix milliseconds", ["1770107400500", "1770107400533"], { format: "unix", unit: "ms" }, [0, 0.033]],
    ["frames", ["3", "6"], { format: "frame number", frameRate: 30 }, [0.1, 0.2]],
  ])("%s", (_name, cells, time, expected) => {
    expect(readTimes(cells, time).times).toEqual(expected);
  });

  test("ISO 8601 instants are the ones that ECMAScript's Date reads", () => {
    fc.assert(
      fc.property(
        fc.date({
          min: new Date("1970-01-01T00:00:00Z"),
          max: new Date("2099-12-31T00:00:00Z"),
          noInvalidDate: true,
        }),
        fc.integer({ min: 1, max: 80_000_000 }),
        (start, laterMs) => {
          const end = new Date(start.getTime() + laterMs);
          const { times, startedAt } = readTimes([start.toISOString(), end.toISOString()], {
            format: "date and time",
          });
          expect(times).toEqual([0, laterMs / 1000]);
          expect(startedAt).toBe(start.toISOString());
        },
      ),
    );
  });

  test.each([
    ["31/02/2026 10:00:00", "date and time"],
    ["2026-13-01 10:00:00", "date and time"],
    ["2026-02-03 25:00:00", "date and time"],
    ["13:00 PM", "clock"],
    ["10:60:00", "clock"],
    ["00:61:00", "elapsed"],
    ["5", "clock"],
    ["5 s later", "number"],
    ["3.5", "frame number"],
    ["1e300", "unix"],
    ["1e9", "spreadsheet serial"],
  ] as const)("%j is no %s, and the row is counted as one whose time cannot be read", (cell, format) => {
    const first = {
      "date and time": "2026-02-03 10:00:00",
      clock: "10:00:00",
      elapsed: "00:00:01",
      number: "1",
      "frame number": "1",
      unix: "1",
      "spreadsheet serial": "1",
    }[format];
    const { report } = readTimes([first, cell], { format, dateOrder: "day-month-year", frameRate: 30 });
    expect(report.rowsNotUsed).toContainEqual({ reason: "time could not be read", count: 1, lines: [3] });
  });
});

describe("the start of a file", () => {
  test("has the offset that the file states", () => {
    expect(readTimes(["2026-02-03T10:00:00-03:30"], { format: "date and time" }).startedAt).toBe(
      "2026-02-03T10:00:00.000-03:30",
    );
  });

  test("has the zone of the column map where the file states none", () => {
    expect(readTimes(["2026-02-03 10:00:00"], { format: "date and time", zone: "+01:00" }).startedAt).toBe(
      "2026-02-03T10:00:00.000+01:00",
    );
  });

  test("of a count has the moment that the column map states for its zero, with or without seconds", () => {
    const stated = { format: "number", date: "2026-02-03", zone: "+01:00" } as const;
    for (const clock of ["10:15", "10:15:00", "10:15:00.000"]) {
      const { startedAt, startClock } = readTimes(["0", "1"], { ...stated, clock });
      expect({ startedAt, startClock }).toEqual({
        startedAt: "2026-02-03T10:15:00.000+01:00",
        startClock: "10:15:00.000",
      });
    }
  });

  test("of clock times has the day of the column map", () => {
    const { startedAt, startClock } = readTimes(["10:00:00.5"], { format: "clock", date: "2026-02-03" });
    expect([startedAt, startClock]).toEqual(["2026-02-03T10:00:00.500", "10:00:00.500"]);
  });

  test("is not known for clock times without a day, nor for elapsed times", () => {
    expect(readTimes(["10:00:00"], { format: "clock" }).startedAt).toBeNull();
    expect(readTimes(["10"], { format: "number" }).startedAt).toBeNull();
  });

  test("of spreadsheet serials counts from 30 December 1899 or 1 January 1904 (ECMA-376)", () => {
    // 25569 is 1970-01-01 in the 1900 system; the 1904 system is 1462 days behind.
    expect(readTimes(["25569.5"], { format: "spreadsheet serial" }).startedAt).toBe(
      "1970-01-01T12:00:00.000",
    );
    expect(readTimes(["24107.5"], { format: "spreadsheet serial", serialEpoch: 1904 }).startedAt).toBe(
      "1970-01-01T12:00:00.000",
    );
  });
});

describe("the time base", () => {
  test("is regular where the step is constant, with the step as written", () => {
    const cells = Array.from({ length: 1000 }, (_, i) => (i / 10).toFixed(1));
    expect(readTimes(cells, {}).timeBase).toEqual({ kind: "regular", startS: 0, stepS: 0.1, count: 1000 });
  });

  test("of frames is regular at one divided by the rate", () => {
    const { timeBase } = readTimes(["0", "1", "2", "3"], { format: "frame number", frameRate: 30 });
    expect(timeBase).toEqual({ kind: "regular", startS: 0, stepS: 1 / 30, count: 4 });
  });

  test("of frames at 7.5 per second has a step of 1 / 7.5 s", () => {
    const { timeBase } = readTimes(["1", "2", "3", "4"], { format: "frame number", frameRate: 7.5 });
    expect(timeBase).toEqual({ kind: "regular", startS: 1 / 7.5, stepS: 1 / 7.5, count: 4 });
  });

  test("is irregular, with the times as written, where one sample is missing or a time is rounded", () => {
    expect(readTimes(["0", "1", "3"], {}).timeBase).toEqual({
      kind: "irregular",
      timesS: Float64Array.of(0, 1, 3),
    });
    expect(readTimes(["0", "0.033", "0.067", "0.1"], {}).timeBase.kind).toBe("irregular");
  });

  test("of one row is its time", () => {
    expect(readTimes(["7"], {}).timeBase).toEqual({ kind: "irregular", timesS: Float64Array.of(7) });
  });
});

describe("a local clock that is put forward or back", () => {
  const clocks = (...times: string[]) => times.map((time) => `2026-10-25 ${time}`);
  const kinds = (result: ReturnType<typeof readTimes>) => result.report.warnings.map(({ kind }) => kind);
  const local = { format: "date and time" } as const;

  test("goes on with the samples when it is put back", () => {
    const result = readTimes(
      clocks("02:59:57", "02:59:58", "02:59:59", "03:00:00", "02:00:01", "02:00:02"),
      local,
    );
    expect(result.times).toEqual([0, 1, 2, 3, 4, 5]);
    expect(result.report.warnings).toEqual([
      expect.objectContaining({ kind: "clock changed", count: 1, lines: [6] }),
    ]);
  });

  test("goes on with the samples when a whole hour of the clock is left out", () => {
    const result = readTimes(
      clocks("01:59:40", "01:59:45", "01:59:50", "01:59:55", "03:00:00", "03:00:05"),
      local,
    );
    expect(result.times).toEqual([0, 5, 10, 15, 20, 25]);
    expect(kinds(result)).toEqual(["clock changed"]);
  });

  test("keeps its times where an hour is missing in the middle of an hour, and says so", () => {
    const result = readTimes(clocks("01:20:40", "01:20:45", "01:20:50", "01:20:55", "02:21:00"), local);
    expect(result.times).toEqual([0, 5, 10, 15, 3620]);
    expect(kinds(result)).toEqual(["clock may have changed"]);
  });

  test("is not suspected where the file states offsets, or the column map does", () => {
    const stated = ["02:59:58+02:00", "02:59:59+02:00", "02:00:00+01:00"].map((time) => `2026-10-25T${time}`);
    expect(kinds(readTimes(stated, local))).toEqual([]);
    const back = clocks("02:59:57", "02:59:58", "02:59:59", "02:00:00");
    expect(kinds(readTimes(back, { ...local, zone: "+01:00" }))).toEqual(["time runs backwards"]);
  });

  test("is not suspected without a rhythm, nor in one slower than ten minutes", () => {
    expect(kinds(readTimes(clocks("02:59:58", "02:59:59", "02:00:00"), local))).toEqual([
      "time runs backwards",
    ]);
    const slow = clocks("01:00:00", "01:20:00", "01:40:00", "02:00:00", "02:20:00", "02:40:00", "02:00:00");
    expect(kinds(readTimes(slow, local))).toEqual(["time runs backwards"]);
  });

  test("is found in every recording of one to sixty seconds a sample, wherever the hour ends, and never in one without it", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 4, max: 40 }),
        fc.integer({ min: 1, max: 40 }),
        fc.constantFrom(-3600, 0, 3600),
        (step, before, after, change) => {
          const text = (second: number) =>
            new Date(Date.UTC(2026, 2, 29) + second * 1000).toISOString().slice(0, 19);
          // The first sample after the change is the first of its hour.
          const shown = Array.from(
            { length: before + after },
            (_, i) => 7200 + (i - before) * step + (i < before ? 0 : change),
          );
          const result = readTimes(
            shown.map((second) => text(second)),
            { format: "date and time" },
          );
          expect(result.times).toEqual(shown.map((_, i) => i * step));
          expect(kinds(result)).toEqual(change === 0 ? [] : ["clock changed"]);
        },
      ),
    );
  });
});

describe("the start of times that count from zero", () => {
  test("is what the column map says of their zero", () => {
    const result = readTimes(["5", "6"], { date: "2026-02-03", clock: "09:30:15.5" });
    expect([result.startedAt, result.startClock]).toEqual(["2026-02-03T09:30:15.500", "09:30:15.500"]);
    expect(
      readTimes(["0:05"], { format: "elapsed", date: "2026-02-03", clock: "09:30:15", zone: "+01:00" })
        .startedAt,
    ).toBe("2026-02-03T09:30:15.000+01:00");
  });

  test("has a time of day without a day, but no day without a time of day", () => {
    expect(readTimes(["5"], { clock: "09:30:15" })).toMatchObject({
      startedAt: null,
      startClock: "09:30:15.000",
    });
    expect(readTimes(["5"], { date: "2026-02-03" })).toMatchObject({ startedAt: null, startClock: null });
  });
});
