import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { actionName } from "./action-names";
import { changesOf } from "./changes";
import { fieldName, valueText } from "./value-words";

describe("the changes of an audit entry", () => {
  it("are the fields that differ, in words, with what was not there before as nothing", () => {
    expect(
      changesOf(
        { birthYear: 1990, code: "V001", regions: ["a", "b"] },
        { birthYear: null, code: "V001", regions: [], sex: "not_stated" },
      ),
    ).toEqual([
      { name: "birth year", before: "1990", after: "none" },
      { name: "regions", before: "a; b", after: "none" },
      { name: "sex", before: null, after: "not stated" },
    ]);
    expect(changesOf(null, null)).toEqual([]);
  });

  it("are called as people call them, with the unit", () => {
    expect(fieldName("heightCm")).toBe("height, cm");
    expect(fieldName("roomLimits.airSpeedMS.max")).toBe("room limits, air speed, m/s, max");
    expect(fieldName("offsetS")).toBe("offset, s");
    expect(fieldName("sha256")).toBe("SHA-256 of the bytes");
    expect(fieldName("date of birth")).toBe("date of birth");
  });

  it("show values as people read them: regions by label, hashes short, moments in UTC, words of people untouched", () => {
    expect(valueText("forearm-left-anterior mean")).toBe("Left forearm, anterior mean");
    expect(valueText("record-thermal-images")).toBe("record thermal images");
    expect(valueText("0123456789abcdef".repeat(4))).toBe("0123456789ab…");
    expect(valueText(`1:${"0123456789abcdef".repeat(4)}`)).toBe("keyed hash 0123456789ab…");
    expect(valueText("2026-03-14T09:30:05.000Z")).toBe("2026-03-14 09:30:05 UTC");
    expect(valueText("a snake_case remark - kept")).toBe("a snake_case remark - kept");
    expect(valueText([true, null])).toBe("yes; none");
  });
});

describe("the actions of the audit trail", () => {
  it("all have a name in words", () => {
    const source = fileURLToPath(new URL("../../../../../packages/api/src", import.meta.url));
    const actions = readdirSync(source, { recursive: true, encoding: "utf8" })
      .filter((path) => path.endsWith("service.ts") || path.endsWith("auth.ts"))
      .flatMap((path) => [
        ...readFileSync(join(source, path), "utf8").matchAll(/action:\s+[^,\n]*?"([a-zA-Z]+\.[a-zA-Z]+)"/g),
      ])
      .map((found) => found[1] ?? "");
    expect(actions.length).toBeGreaterThan(40);
    expect(actions.filter((action) => actionName(action) === action)).toEqual([]);
  });
});
