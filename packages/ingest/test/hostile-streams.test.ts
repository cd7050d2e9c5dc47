import { Gzip, gzipSync } from "fflate";
import { describe, expect, test } from "vitest";
import { type ColumnMap, detectColumnMap, readSourceFile, SourceFileError, SourceReader } from "../src/index";
import { bytesOf, columnMapFor, handMap, regionColumn } from "./column-maps";

const megabyte = 2 ** 20;
/** Beyond what the traces themselves need. */
const mostMemory = 64 * megabyte;

interface Fate {
  /** What the reader said: a refusal, or null when it read to the end. */
  refusal: SourceFileError | null;
  result: ReturnType<SourceReader["end"]> | null;
  /** Bytes that were pushed before it was over. */
  pushed: number;
  /** Most memory, above what was used before, at the end of a chunk. */
  peakBytes: number;
  seconds: number;
}

/** Reads a stream that is made while it is read, so that nothing but the reader holds any of it. */
function readMade(chunks: Iterable<Uint8Array>, columnMap: ColumnMap): Fate {
  const used = () => {
    const { heapUsed, arrayBuffers } = process.memoryUsage();
    return heapUsed + arrayBuffers;
  };
  const before = used();
  const start = performance.now();
  const fate: Fate = { refusal: null, result: null, pushed: 0, peakBytes: 0, seconds: 0 };
  try {
    const reader = new SourceReader(columnMap);
    for (const chunk of chunks) {
      fate.pushed += chunk.length;
      reader.push(chunk);
      fate.peakBytes = Math.max(fate.peakBytes, used() - before);
    }
    fate.result = reader.end();
  } catch (error) {
    if (!(error instanceof SourceFileError)) throw error;
    fate.refusal = error;
  }
  fate.seconds = (performance.now() - start) / 1000;
  return fate;
}

function* repeated(head: string, body: Uint8Array, times: number): Generator<Uint8Array> {
  yield bytesOf(head);
  for (let i = 0; i < times; i++) yield body;
}

describe("a stream meant to exhaust is refused early, in bounded memory and time", () => {
  const digits = new Uint8Array(megabyte).fill(0x31);
  const cases: {
    what: string;
    chunks: () => Iterable<Uint8Array>;
    code: string;
    mostPushed: number;
    map?: ColumnMap;
  }[] = [
    {
      what: "one line of 200 MB",
      chunks: () => repeated("time,hand\n0,", digits, 200),
      code: "line-too-long",
      mostPushed: 6 * megabyte,
    },
    {
      what: "a quotation mark that is never closed, with 200 MB behind it",
      chunks: () => repeated('time,hand\n0,"', bytesOf("31.5\n".repeat(200_000)), 200),
      code: "line-too-long",
      mostPushed: 6 * megabyte,
    },
    {
      what: "one cell of 200 MB of spaces",
      chunks: () => repeated("time hand\n", new Uint8Array(megabyte).fill(0x20), 200),
      code: "line-too-long",
      mostPushed: 6 * megabyte,
      map: { ...handMap, delimiter: "spaces" },
    },
    {
      what: "a row of a hundred million cells",
      chunks: () => repeated("time,hand\n", bytesOf("1,".repeat(megabyte / 2)), 200),
      code: "too-many-columns",
      mostPushed: 2 * megabyte,
    },
    {
      what: "a hundred thousand names in the header",
      chunks: () => [bytesOf(`time,${Array.from({ length: 100_000 }, (_, i) => `c${i}`).join(",")}\n`)],
      code: "too-many-columns",
      mostPushed: megabyte,
    },
    {
      what: "NUL bytes without end",
      chunks: () => repeated("time,hand\n0,31.5\n", new Uint8Array(megabyte), 200),
      code: "not-text",
      mostPushed: 2 * megabyte,
    },
    {
      what: "a gzip that unpacks to a thousand times its size",
      chunks: () => packedRows(),
      code: "too-large",
      mostPushed: megabyte,
    },
  ];

  test.each(cases)("$what", ({ chunks, code, mostPushed, map }) => {
    const { refusal, pushed, peakBytes, seconds } = readMade(chunks(), map ?? handMap);
    expect(refusal?.code).toBe(code);
    expect(refusal?.message).toMatch(/\. .*\w/);
    expect(pushed).toBeLessThanOrEqual(mostPushed);
    expect(peakBytes).toBeLessThan(mostMemory);
    expect(seconds).toBeLessThan(20);
  });
});

/** A small gzip file of 24 MB of one and the same row. */
function packedRows(): Uint8Array[] {
  const packed: Uint8Array[] = [];
  const gzip = new Gzip({ level: 9 }, (chunk) => packed.push(chunk));
  gzip.push(bytesOf("time,hand\n"));
  const rows = bytesOf("0,31.5\n".repeat(142_857));
  for (let i = 0; i < 24; i++) gzip.push(rows);
  gzip.push(new Uint8Array(0), true);
  return packed;
}

describe("a long stream is read to its end, in bounded memory and time", () => {
  test("ten million rows", { timeout: 180_000 }, () => {
    const rowsPerChunk = 100_000;
    const chunks = 100;
    function* rows(): Generator<Uint8Array> {
      yield bytesOf("time,hand\n");
      for (let chunk = 0; chunk < chunks; chunk++) {
        const lines: string[] = [];
        for (let i = 0; i < rowsPerChunk; i++) lines.push(`${chunk * rowsPerChunk + i},31.${i % 10}\n`);
        yield bytesOf(lines.join(""));
      }
    }
    const { result, peakBytes, seconds } = readMade(rows(), handMap);
    expect(result?.report).toMatchObject({ rowsRead: 10_000_000, rowsUsed: 10_000_000 });
    expect(result?.timeBase).toEqual({ kind: "regular", startS: 0, stepS: 1, count: 10_000_000 });
    expect(result?.traces[0]?.values[9_999_997]).toBe(31.7);
    expect(peakBytes).toBeLessThan(2 * 8 * 10_000_000 + mostMemory);
    expect(seconds).toBeLessThan(120);
  });

  test("a million rows that are all wrong are counted, and only the first of them listed", () => {
    const { refusal } = readMade(
      repeated("time,hand\n", bytesOf("never,31.5\n".repeat(100_000)), 10),
      handMap,
    );
    expect(refusal).toMatchObject({ code: "no-data-rows", message: expect.stringMatching(/1000000/) });
    const wrong = bytesOf("1,warm\n".repeat(100_000));
    const { result, peakBytes } = readMade(repeated("time,hand\n", wrong, 10), handMap);
    const [missing] = result?.report.missingValues ?? [];
    expect(missing).toMatchObject({ unreadable: 1_000_000 });
    expect(missing?.unreadableCells).toHaveLength(100);
    expect(result?.report.warnings.find(({ kind }) => kind === "time repeated")).toMatchObject({
      count: 999_999,
    });
    expect(peakBytes).toBeLessThan(2 * 8 * 1_000_000 + mostMemory);
  });
});

describe("a broken file is read with a counted finding for what is broken", () => {
  const read = (text: string, map = handMap) => readSourceFile(bytesOf(text), map);
  const counted = (text: string, map?: ColumnMap) => {
    const { report } = read(text, map);
    return {
      used: report.rowsUsed,
      notUsed: Object.fromEntries(report.rowsNotUsed.map(({ reason, lines }) => [reason, lines])),
      warnings: Object.fromEntries(report.warnings.map(({ kind, lines }) => [kind, lines])),
    };
  };

  test("truncated in the middle of a row", () => {
    const two = columnMapFor([
      regionColumn(1, "hand", "hand-left-dorsal"),
      regionColumn(2, "foot", "foot-left-dorsal"),
    ]);
    expect(counted("time,hand,foot\n0,31.5,30.1\n1,31.4,30.0\n2,31", two)).toEqual({
      used: 2,
      notUsed: { header: [1], "cut off": [4] },
      warnings: {},
    });
  });

  test("with times repeated and reversed", () => {
    expect(counted("time,hand\n0,31.5\n1,31.4\n1,31.4\n0.5,31.3\n2,31.2\n")).toMatchObject({
      used: 5,
      warnings: { "time repeated": [4], "time runs backwards": [5] },
    });
  });

  test("with its header again in the middle", () => {
    expect(counted("time,hand\n0,31.5\n1,31.4\ntime,hand\n2,31.3\n")).toMatchObject({
      used: 3,
      notUsed: { "header repeated": [4] },
      warnings: { "header repeated": [4] },
    });
  });

  test("with a column that appears half-way", () => {
    expect(counted("time,hand\n0,31.5\n1,31.4\n2,31.3,30.1\n3,31.2,30.0\n")).toMatchObject({
      used: 4,
      warnings: { "more cells than columns": [4, 5] },
    });
    expect(counted("time,hand\n0,31.5\ntime,hand,foot\n1,31.4,30.1\n")).toMatchObject({
      used: 2,
      warnings: { "header repeated": [3], "columns appear": [3] },
    });
  });

  test("with formulas in cells: they are never computed, and kept as the text that they are", () => {
    const { traces, report } = read('time,hand\n0,=1+1\n1,"=HYPERLINK(""http://x"",""31.5"")"\n2,31.5\n');
    expect([...(traces[0]?.values ?? [])]).toEqual([Number.NaN, Number.NaN, 31.5]);
    expect(report.missingValues[0]?.unreadableCells).toEqual([
      { line: 2, text: "=1+1" },
      { line: 3, text: '=HYPERLINK("http://x","31.5")' },
    ]);
  });

  test("with markup and beginnings of formulas in names: they stay the text that they are", () => {
    const name = "<img src=x onerror=alert(1)> left hand dorsal mean (°C)";
    const formula = "=cmd|' /C calc'!A0";
    const bytes = bytesOf(`time (s);${name};${formula}\n0;31.5;1\n1;31.4;2\n2;31.3;3\n`);
    const { columnMap } = detectColumnMap(bytes);
    expect(columnMap.columns.map((column) => column.name)).toEqual(["time (s)", name, formula]);
    const mapped = { ...columnMap, columns: [...columnMap.columns] };
    mapped.columns[1] = regionColumn(1, name, "hand-left-dorsal");
    expect(readSourceFile(bytes, mapped).traces.map((trace) => trace.name)).toEqual([name]);
  });
});

describe("bytes that are no text, whatever their name says", () => {
  test("are refused by detection and reader", () => {
    const noise = Uint8Array.from({ length: 5000 }, (_, i) => (i * i * 31 + (i >> 3) * 17) % 256);
    for (const action of [() => detectColumnMap(noise), () => readSourceFile(noise, handMap)]) {
      expect(action).toThrow(SourceFileError);
    }
  });

  test("are refused too when they are packed", () => {
    expect(() => readSourceFile(gzipSync(Uint8Array.of(0, 1, 2, 3, 0, 255)), handMap)).toThrow(
      SourceFileError,
    );
  });
});
