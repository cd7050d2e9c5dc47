import { describe, expect, it } from "vitest";
import { formatBytes } from "./format-bytes";
import { formatNumber } from "./quantity";
import { readTableState, type TableShape, writeTableState } from "./table-state";

const shape: TableShape<"code" | "height", "q" | "state"> = {
  sorts: ["code", "height"],
  defaultSort: "code",
  filters: ["q", "state"],
};

describe("the state of a list in the address", () => {
  it("comes back as it was written", () => {
    const state = {
      page: 3,
      pageSize: 50,
      sort: "height",
      direction: "descending",
      filters: { q: "V-0 ü&=" },
    } as const;
    const address = writeTableState(new URLSearchParams("tab=files"), shape, state);
    expect(address.get("tab")).toBe("files");
    expect(readTableState(new URLSearchParams(address.toString()), shape)).toEqual(state);
  });

  it("is not written where it is the default", () => {
    const state = readTableState(new URLSearchParams(), shape);
    expect(writeTableState(new URLSearchParams("page=4&q=x"), shape, state).toString()).toBe("");
  });

  it("falls back to the default where the address says nonsense", () => {
    const address = new URLSearchParams("page=-1&size=7&sort=drop%20table&direction=up&unknown=1");
    expect(readTableState(address, shape)).toEqual({
      page: 1,
      pageSize: 25,
      sort: "code",
      direction: "ascending",
      filters: {},
    });
  });

  it("does not mix two tables of one page", () => {
    const second = { ...shape, prefix: "files-" };
    const state = { ...readTableState(new URLSearchParams(), second), page: 2 };
    const address = writeTableState(new URLSearchParams("page=5"), second, state);
    expect(readTableState(address, shape).page).toBe(5);
    expect(readTableState(address, second).page).toBe(2);
  });
});

describe("numbers on the screen", () => {
  it("have a true minus, and none before a rounded zero", () => {
    expect(formatNumber(-0.7, 1)).toBe("−0.7");
    expect(formatNumber(-0.04, 1)).toBe("0.0");
    expect(formatNumber(0.7, 2, true)).toBe("+0.70");
    expect(formatNumber(0, 1, true)).toBe("0.0");
  });

  it("say sizes in decimal units", () => {
    expect([1, 999, 1000, 39_800_000, 2_147_483_648].map(formatBytes)).toEqual([
      "1 byte",
      "999 bytes",
      "1.0 kB",
      "39.8 MB",
      "2.1 GB",
    ]);
  });
});
