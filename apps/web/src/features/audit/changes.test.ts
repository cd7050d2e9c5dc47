import { describe, expect, it } from "vitest";
import { changesOf } from "./changes";

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
});
