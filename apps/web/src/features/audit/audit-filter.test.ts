import { describe, expect, it } from "vitest";
import { exportAddress, filterOf, utcOf } from "./audit-filter";

describe("the filters of the audit trail", () => {
  it("take what is typed as a time for UTC, and nothing for what is none", () => {
    expect(utcOf("2026-03-14T09:30")).toBe("2026-03-14T09:30:00.000Z");
    for (const wrong of [undefined, "", "2026-03-14", "2026-13-14T09:30", "yesterday"]) {
      expect(utcOf(wrong)).toBeUndefined();
    }
  });

  it("go to the server and into the address of an export alike", () => {
    const filter = filterOf({ person: "nobody", search: "a & b", until: "2026-03-14T09:30", from: "soon" });
    expect(filter).toEqual({ person: "nobody", search: "a & b", until: "2026-03-14T09:30:00.000Z" });
    expect(exportAddress("s", "csv", filter)).toBe(
      "/api/studies/s/audit?format=csv&search=a+%26+b&person=nobody&until=2026-03-14T09%3A30%3A00.000Z",
    );
  });
});
