import { seededGenerator } from "@acral/analysis/statistics";
import { describe, expect, test } from "vitest";
import { readSourceFile } from "../src/index";
import { bytesOf, columnMapFor, handMap, regionColumn } from "./column-maps";
import { storedFindings } from "./fuzz/findings";
import { fuzz } from "./fuzz/fuzz";
import { FuzzFinding, requireNumbersOfFile, requireSound } from "./fuzz/oracles";

describe("mutated files", () => {
  test("never crash or hang detection or reader, and never yield a number that is not in them", async () => {
    const findings: string[] = [];
    const start = performance.now();
    const { inputs } = await fuzz({
      seed: 20_260_203,
      // As many as a quiet machine does in a few seconds; a busy one stops earlier.
      goOn: (progress) => progress.inputs < 2000 && performance.now() - start < 8000,
      onFinding: (input, finding) =>
        findings.push(
          `${finding.message} ${JSON.stringify(input.changes)} ${JSON.stringify(new TextDecoder().decode(input.bytes))}`,
        ),
    });
    expect(findings).toEqual([]);
    expect(inputs).toBeGreaterThan(100);
  });

  test.each(storedFindings())("$name stays mended", async (input) => {
    const random = seededGenerator(1);
    for (let i = 0; i < 5; i++) await requireSound(input, random);
  });
});

describe("the comparison with a second way to the numbers", () => {
  const bytes = bytesOf("time,hand\n0,31.5\n1,31.4\n");

  test("passes what is in the file and finds what differs in the last bit", () => {
    const result = readSourceFile(bytes, handMap);
    requireNumbersOfFile(result, handMap, bytes);
    const [trace] = result.traces;
    trace?.values.set([31.500000000000004]);
    expect(() => requireNumbersOfFile(result, handMap, bytes)).toThrow(FuzzFinding);
  });

  test("finds a converted number that is off by more than rounding", () => {
    const kelvin = columnMapFor([regionColumn(1, "hand", "hand-left-dorsal", "K")]);
    const result = readSourceFile(bytes, kelvin);
    requireNumbersOfFile(result, kelvin, bytes);
    result.traces[0]?.values.set([-241.6500001]);
    expect(() => requireNumbersOfFile(result, kelvin, bytes)).toThrow(/not in the file/);
  });
});
