import { isDeepStrictEqual } from "node:util";
import { describe, expect, test } from "vitest";
import { detectColumnMap, readSourceFile, SourceFileError } from "../src/index";
import { asTruth, corpus, corrected, truthOf } from "./corpus-truth";
import { drivers } from "./drivers";

/** What detection alone reads from a file; the refusal when its column map cannot be followed. */
function readAlone(bytes: Uint8Array): ReturnType<typeof asTruth> | string {
  try {
    return asTruth(readSourceFile(bytes, detectColumnMap(bytes).columnMap));
  } catch (error) {
    if (error instanceof SourceFileError) return error.code;
    throw error;
  }
}

describe.each(drivers)("the corpus read $name", ({ read }) => {
  test.each(corpus)("$name reads to its truth exactly", async ({ bytes, truth }) => {
    const columnMap = corrected(detectColumnMap(bytes).columnMap, truth.corrections);
    expect(asTruth(await read(bytes, columnMap))).toEqual(truthOf(truth));
  });
});

describe("detection alone", () => {
  const outcomes = corpus.map(({ name, bytes, truth }) => ({
    name,
    right: isDeepStrictEqual(readAlone(bytes), truthOf(truth)),
    doubts: new Set(detectColumnMap(bytes).doubts.map((doubt) => doubt.kind)),
    truth,
  }));

  test("is right for at least nine files in ten", () => {
    const wrong = outcomes.filter((outcome) => !outcome.right).map((outcome) => outcome.name);
    expect(wrong.length / corpus.length, `wrong: ${wrong.join(", ")}`).toBeLessThanOrEqual(0.1);
  });

  test.each(outcomes)("$name: what the file leaves open is marked doubtful", ({ right, doubts, truth }) => {
    expect(right, "needs a correction exactly when the truth says so").toBe(truth.corrections === null);
    expect([...doubts]).toEqual(expect.arrayContaining(truth.doubts));
    if (!right) expect(doubts.size).toBeGreaterThan(0);
  });

  test("raises no doubt where a file leaves nothing open", () => {
    const needless = outcomes
      .filter(({ truth, doubts }) => truth.doubts.length === 0 && doubts.size > 0)
      .map(({ name, doubts }) => `${name}: ${[...doubts].join(", ")}`);
    expect(needless).toEqual([]);
  });
});
