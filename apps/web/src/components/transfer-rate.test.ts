import { describe, expect, it } from "vitest";
import { formatDuration, progressOf, type TransferSample, withSample } from "./transfer-rate";

describe("the rate of a transfer", () => {
  it("is taken over the last five seconds, so that an early stall is forgotten", () => {
    let samples: TransferSample[] = [];
    for (const [atMs, loaded] of [
      [0, 0],
      [8000, 10_000],
      [9000, 1_010_000],
      [12_000, 4_010_000],
    ] as const) {
      samples = withSample(samples, { atMs, loaded });
    }
    expect(progressOf(samples, 10_010_000)).toEqual({
      loaded: 4_010_000,
      total: 10_010_000,
      bytesPerS: 1_000_000,
      secondsLeft: 6,
    });
  });

  it("is not said before there is something to judge by, nor when nothing moves", () => {
    expect(progressOf([], 100)).toMatchObject({ loaded: 0, bytesPerS: null, secondsLeft: null });
    expect(progressOf([{ atMs: 0, loaded: 0 }], 100).bytesPerS).toBeNull();
    const fast = [
      { atMs: 0, loaded: 0 },
      { atMs: 400, loaded: 90 },
    ];
    expect(progressOf(fast, 100).bytesPerS).toBeNull();
    const stalled = [
      { atMs: 0, loaded: 50 },
      { atMs: 4000, loaded: 50 },
    ];
    expect(progressOf(stalled, 100)).toMatchObject({ loaded: 50, bytesPerS: null, secondsLeft: null });
  });

  it("gives the time that is left as exactly as somebody who waits needs it", () => {
    expect([0.2, 4.4, 59.6, 134, 3600, 3950].map(formatDuration)).toEqual([
      "1 s",
      "4 s",
      "1 min",
      "2 min 10 s",
      "1 h",
      "1 h 6 min",
    ]);
  });
});
