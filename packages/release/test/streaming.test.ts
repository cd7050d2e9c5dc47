import { describe, expect, it } from "vitest";
import { assessDisclosure } from "../src/assess-disclosure";
import type { ReleaseInput } from "../src/release-input";
import { writeRelease } from "../src/write-release";
import { exampleInput, regionIds } from "./example-study";

const samples = 20_000;

/** Keeps count of the trials whose traces have been asked for. */
function longInput(asked: string[]): ReleaseInput {
  const timeBase = { kind: "regular", startS: 100, stepS: 0.5, count: samples } as const;
  return {
    ...exampleInput(),
    async *traces(trialKey) {
      asked.push(trialKey);
      for (const statistic of ["mean", "maximum"]) {
        yield {
          target: { kind: "region", regionId: regionIds[0], statistic },
          unit: "°C",
          timeBase,
          // Noisy digits, so that the packed bytes are many.
          values: Float32Array.from({ length: samples }, (_, i) => 30 + ((i * 7919) % 1009) / 1009),
        };
      }
    },
  };
}

describe("A release", () => {
  it("asks for the traces of a trial only when its turn comes, once each", async () => {
    const asked: string[] = [];
    const input = longInput(asked);
    const askedAtChunk: number[] = [];
    for await (const chunk of writeRelease(input, assessDisclosure(input))) {
      askedAtChunk.push(asked.length);
      expect(chunk.length).toBeLessThan(1_000_000);
    }
    expect(new Set(asked).size).toBe(asked.length);
    // 18 trials less the two of the volunteer who is left out: those are never even read.
    expect(asked.length).toBe(16);
    expect(askedAtChunk[0]).toBeLessThanOrEqual(1);
    // Each trial gives at least one chunk before the next is asked for.
    for (const [index, count] of askedAtChunk.entries()) {
      expect(count - (askedAtChunk[index - 1] ?? 0)).toBeLessThanOrEqual(1);
    }
  });

  it("asks for nothing more when the reader stops", async () => {
    const asked: string[] = [];
    const input = longInput(asked);
    for await (const chunk of writeRelease(input, assessDisclosure(input))) {
      expect(chunk.length).toBeGreaterThan(0);
      break;
    }
    expect(asked.length).toBeLessThanOrEqual(1);
  });
});
