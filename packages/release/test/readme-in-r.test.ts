import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { WebR } from "webr";
import { exampleInput, exampleTraces, filesOf, zipOf } from "./example-study";
import { rowsOf } from "./package-reader";

/** R itself, as WebAssembly: the package is unpacked by R's own unzip and loaded by the README's own snippet. */
const r = new WebR({ interactive: false });

beforeAll(() => r.init());
afterAll(() => r.close());

describe("The README's R snippet", () => {
  it("loads the package, and R computes from it what the study computes", async () => {
    const zip = await zipOf(exampleInput());
    const files = filesOf(zip);
    const snippet = /```r\n([\s\S]*?)```/.exec(files.get("README.md") ?? "")?.[1];
    if (snippet === undefined) throw new Error("The README has no R snippet.");
    await r.FS.writeFile("/tmp/release.zip", zip);
    await r.evalRVoid(
      'dir.create("/tmp/package"); unzip("/tmp/release.zip", exdir = "/tmp/package"); setwd("/tmp/package")',
    );
    await r.evalRVoid(snippet);

    expect(await r.evalRNumber("nrow(volunteers)")).toBe(8);
    expect(await r.evalRNumber("nrow(trials)")).toBe(16);
    expect(await r.evalRNumber("nrow(measures)")).toBe(48);
    expect(await r.evalRString("paste(unique(trials$condition), collapse = '|')")).toContain("bare hands");
    expect(await r.evalRString("class(volunteers$height_low_cm)")).toBe("integer");

    const first = rowsOf(files.get("traces.csv") ?? "")[0];
    expect(await r.evalRString("first_trace$trial[1]")).toBe(first?.trial);
    expect(await r.evalRNumber("first_trace$time_s[1]")).toBe(-30);
    expect(await r.evalRNumber("sum(is.na(first_trace$value))")).toBe(1);

    // One baseline over all trials, to the last digit: the sum of the same numbers in the same order.
    const baselines = rowsOf(files.get("measures.csv") ?? "").filter(({ measure }) => measure === "baseline");
    const sum = baselines
      .map(({ value }) => Number(value))
      .sort((a, b) => a - b)
      .reduce((a, b) => a + b, 0);
    const inR = await r.evalRString(
      'format(Reduce(`+`, sort(measures$value[measures$measure == "baseline"])), digits = 17)',
    );
    expect(Number(inR)).toBe(sum);
    // Every stored float32 of one trial comes back through R as it was (its key: the volunteer's room, the condition).
    const trial = rowsOf(files.get("trials.csv") ?? "").find((row) => row.trial === first?.trial);
    const volunteer = Math.round((Number(trial?.air_temperature_c) - 22) * 10);
    const key = `trial-${volunteer}-${trial?.condition === "bare hands" ? 0 : 1}`;
    const truth = exampleTraces(key).find(
      ({ target }) =>
        target.kind === "region" && target.regionId === first?.region && target.statistic === first.statistic,
    );
    const text = await r.evalRString("paste(format(first_trace$value, digits = 17), collapse = ' ')");
    const values = text
      .trim()
      .split(/\s+/)
      .map((word) => (word === "NA" ? Number.NaN : Math.fround(Number(word))));
    expect(values).toEqual([...(truth?.values ?? [])]);
  });
});
