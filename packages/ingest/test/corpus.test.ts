import { readFileSync } from "node:fs";
import { isDeepStrictEqual } from "node:util";
import { sampleTimes } from "@acral/analysis/course";
import { unzipSync } from "fflate";
import { describe, expect, test } from "vitest";
import { detectColumnMap, readSourceFile, SourceFileError } from "../src/index";
import { asTruth, corpus, corrected, truthOf } from "./corpus-truth";
import { drivers } from "./drivers";
import { corpusWorkbooks, journeyWorkbooks } from "./workbooks/corpus-workbooks";
import { writeWorkbook } from "./workbooks/write-workbook";

/** What detection alone reads from a file; the refusal when its column map cannot be followed. */
function readAlone(bytes: Uint8Array): ReturnType<typeof asTruth> | string {
  try {
    return asTruth(readSourceFile(bytes, detectColumnMap(bytes).columnMap));
  } catch (error) {
    if (error instanceof SourceFileError) return error.code;
    throw error;
  }
}

test("the corpus has at least eighty files", () => {
  expect(corpus.length).toBeGreaterThanOrEqual(80);
});

test("the workbooks are what the script beside them writes, cell by cell", () => {
  const written = Object.entries(corpusWorkbooks).map(([name, workbook]) => ({
    name,
    bytes: writeWorkbook(workbook),
  }));
  expect(corpus.filter(({ name }) => name.endsWith(".xlsx")).map(({ name }) => name)).toEqual(
    written.map(({ name }) => name).sort(),
  );
  for (const { name, bytes } of written) {
    const kept = corpus.find((file) => file.name === name);
    // The packing may differ from one version of the packer to the next; what is packed may not.
    expect(unzipSync(kept?.bytes ?? new Uint8Array(0)), name).toEqual(unzipSync(bytes));
  }
});

test("the workbook of the journeys is what the script writes, and reads to the truth beside it", () => {
  const file = (name: string) => readFileSync(new URL(`../../../e2e/files/${name}`, import.meta.url));
  for (const [name, workbook] of Object.entries(journeyWorkbooks)) {
    const bytes = new Uint8Array(file(name));
    expect(unzipSync(bytes)).toEqual(unzipSync(writeWorkbook(workbook)));
    const truth = JSON.parse(file(name.replace(".xlsx", ".truth.json")).toString("utf8"));
    const result = readSourceFile(bytes, detectColumnMap(bytes, { sheet: truth.sheet }).columnMap);
    expect([...sampleTimes(result.timeBase)]).toEqual(truth.timesS);
    expect(result.startedAt).toBe(truth.startedAt);
    const read = result.traces.map(({ target, values }) => [
      target.kind === "region" && target.regionId,
      [...values],
    ]);
    expect(Object.fromEntries(read)).toEqual(truth["°C"]);
  }
});

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
    const share = 1 - wrong.length / corpus.length;
    console.info(
      `Detection alone is right for ${corpus.length - wrong.length} of ${corpus.length} files of the corpus (${(100 * share).toFixed(1)} %); a person has to correct ${wrong.join(", ")}.`,
    );
    expect(share, `wrong: ${wrong.join(", ")}`).toBeGreaterThanOrEqual(0.9);
  });

  test("is never wrong in silence: every file that needs a person has a doubt", () => {
    const silent = outcomes
      .filter(({ right, doubts }) => !right && doubts.size === 0)
      .map(({ name }) => name);
    expect(silent).toEqual([]);
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
