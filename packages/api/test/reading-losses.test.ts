import { describe, expect, it } from "vitest";
import { readingLosses } from "../src/source-file/policy";

const nothing = {
  places: "line" as const,
  rowsRead: 10,
  rowsUsed: 10,
  rowsNotUsed: [],
  warnings: [],
  missingValues: [],
};

describe("what is said of a file that was read", () => {
  it("is nothing for headers, preambles and blank lines", () => {
    const rowsNotUsed = ["before the data", "header", "blank"].map((reason) => ({
      reason,
      count: 1,
      lines: [1],
    }));
    expect(readingLosses({ ...nothing, rowsNotUsed })).toEqual([]);
  });

  it("says a thing once: a row or a cell that is counted is not warned of as well", () => {
    const losses = readingLosses({
      ...nothing,
      rowsNotUsed: [{ reason: "header repeated", count: 1, lines: [22] }],
      warnings: [{ kind: "header repeated", message: "1 row repeats the header.", count: 1, lines: [22] }],
    });
    expect(losses).toEqual(["1 row was not used, header repeated: line 22."]);
  });

  it("names the line at which a file breaks off, and what to do", () => {
    const [sentence] = readingLosses({
      ...nothing,
      rowsNotUsed: [{ reason: "cut off", count: 1, lines: [14] }],
    });
    expect(sentence).toMatch(/breaks off .*line 14.*export it again/);
  });

  it("names the rows of a workbook's sheet as rows", () => {
    const rowsNotUsed = [{ reason: "no time", count: 1, lines: [14] }];
    expect(readingLosses({ ...nothing, places: "row", rowsNotUsed })).toEqual([
      "1 row was not used, no time: row 14.",
    ]);
  });

  it("counts rows and cells by reason, with their lines, and says when there are more", () => {
    const lines = Array.from({ length: 100 }, (_, i) => i + 2);
    const losses = readingLosses({
      ...nothing,
      rowsNotUsed: [{ reason: "time could not be read", count: 250, lines }],
      missingValues: [
        {
          column: 1,
          name: "hand",
          missing: 3,
          sentinels: 0,
          unreadable: 1,
          unreadableCells: [{ line: 7, text: "warm" }],
        },
      ],
      warnings: [{ kind: "time repeated", message: "A time stands twice.", count: 1, lines: [9] }],
    });
    expect(losses).toEqual([
      "250 rows were not used, time could not be read: line 2, 3, 4, 5, 6, 7, 8, 9 and more.",
      "hand: 1 cell holds no number and counts as missing (line 7).",
      "A time stands twice. (line 9)",
    ]);
  });
});
