import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { TimeBase } from "../../src/course";
import {
  type AdjustmentSettings,
  applyAdjustments,
  type ChannelTrace,
  cameraTraces,
  contactTraces,
  type QualityTrace,
  requireAdjustment,
  seriesKey,
} from "../../src/quality";
import { refusal } from "../statistics/refusal";

const timeBase: TimeBase = { kind: "regular", startS: 10, stepS: 2, count: 6 };
const region = (
  regionId: string,
  statistic: QualityTrace["statistic"],
  ...values: number[]
): QualityTrace => ({ regionId, statistic, values: Float64Array.from(values) });
const chest = region("chest-left-anterior", "mean", 33, 33.1, Number.NaN, 33.2, 33.3, 33.4);
const hand = region("hand-left-dorsal", "mean", 30, 30.2, 30.4, 30.6, 30.8, 31);
const spread = region("hand-left-dorsal", "standard deviation", 0.5, 0.5, 0.6, 0.6, Number.NaN, 0.7);
const pulse: ChannelTrace = { channel: "heart rate", values: Float64Array.of(60, 61, 62, 63, 64, 65) };
const given = { timeBase, traces: [chest, hand, spread], channels: [pulse] };
const valuesOf = (series: readonly { values: Float64Array }[]) => series.map(({ values }) => [...values]);
const after = (...adjustments: AdjustmentSettings[]) => applyAdjustments(given, adjustments);

const moments = fc.double({ min: 0, max: 30, noNaN: true });
const celsius = fc.double({ min: -3, max: 3, noNaN: true });
const anyAdjustment: fc.Arbitrary<AdjustmentSettings> = fc.oneof(
  fc.record({ kind: fc.constant("common step" as const), atS: moments, heightC: celsius }),
  fc.record({
    kind: fc.constant("warming-up drift" as const),
    startS: moments,
    amplitudeC: celsius,
    tauS: fc.option(fc.double({ min: 1, max: 1000, noNaN: true })),
  }),
  fc
    .record({
      fromS: moments,
      lastsS: moments,
      series: fc.option(fc.subarray(["heart rate", seriesKey(hand)], { minLength: 1 })),
    })
    .map(({ fromS, lastsS, series }) => ({ kind: "mask" as const, fromS, toS: fromS + lastsS, series })),
  fc.record({ kind: fc.constant("time shift" as const), byS: fc.integer({ min: -50, max: 50 }) }),
  fc.record({
    kind: fc.constant("emissivity" as const),
    from: fc.record({ emissivity: fc.constantFrom(1, 0.98), reflectedC: fc.constantFrom(20, 25) }),
    to: fc.record({ emissivity: fc.constantFrom(0.95, 0.98), reflectedC: fc.constantFrom(18, 22) }),
  }),
  fc.record({
    kind: fc.constant("reference drift" as const),
    reference: fc.constant(seriesKey(hand)),
    trueC: fc.double({ min: 28, max: 32, noNaN: true }),
    smoothingS: fc.constantFrom(0, 5),
  }),
);

describe("adjustments", () => {
  it("are undone exactly by leaving them out", () => {
    fc.assert(
      fc.property(fc.array(anyAdjustment, { maxLength: 5 }), fc.nat(4), (adjustments, at) => {
        const one = adjustments[at];
        fc.pre(one !== undefined && isApplicable(adjustments));
        const others = adjustments.filter((_, k) => k !== at);
        fc.pre(isApplicable(others));
        const without = applyAdjustments(given, others);
        applyAdjustments(given, adjustments);
        expect(applyAdjustments(given, others)).toEqual(without);
      }),
    );
    const none = after();
    expect(none.timeBase).toBe(timeBase);
    for (const [k, trace] of none.traces.entries()) expect(trace).toBe(given.traces[k]);
  });

  it("never change what they are given, keep missing values missing, and give the same twice", () => {
    const before = structuredClone(given);
    fc.assert(
      fc.property(fc.array(anyAdjustment, { maxLength: 6 }), (adjustments) => {
        fc.pre(isApplicable(adjustments));
        const first = applyAdjustments(given, adjustments);
        expect(given).toEqual(before);
        expect(applyAdjustments(given, adjustments)).toEqual(first);
        expect(first.effects).toHaveLength(adjustments.length);
        for (const [k, { values }] of first.traces.entries()) {
          for (const [i, value] of (given.traces[k]?.values ?? new Float64Array()).entries()) {
            if (Number.isNaN(value)) expect(values[i]).toBeNaN();
          }
        }
      }),
    );
  });

  it("that add commute, and a mask does with each of them", () => {
    const adding = fc.oneof(
      fc.record({ kind: fc.constant("common step" as const), atS: moments, heightC: celsius }),
      fc.record({
        kind: fc.constant("warming-up drift" as const),
        startS: moments,
        amplitudeC: celsius,
        tauS: fc.constantFrom(null, 30),
      }),
      fc.record({
        kind: fc.constant("mask" as const),
        fromS: fc.constant(12),
        toS: moments.map((s) => s + 12),
        series: fc.constant(null),
      }),
    );
    fc.assert(
      fc.property(adding, adding, (a, b) => {
        const one = valuesOf(after(a, b).traces).flat();
        const other = valuesOf(after(b, a).traces).flat();
        for (const [i, value] of one.entries()) {
          if (Number.isNaN(value)) expect(other[i]).toBeNaN();
          else expect(other[i]).toBeCloseTo(value, 11);
        }
      }),
    );
  });

  it("take place in their order where it matters", () => {
    const step = { kind: "common step", atS: 0, heightC: 2 } as const;
    const emissivity = {
      kind: "emissivity",
      from: { emissivity: 1, reflectedC: 22 },
      to: { emissivity: 0.9, reflectedC: 22 },
    } as const;
    expect(after(step, emissivity).traces[0]?.values[0]).not.toBeCloseTo(
      after(emissivity, step).traces[0]?.values[0] ?? 0,
      2,
    );
  });
});

/** A mask may hide all of a reference surface or of a region whose spread is corrected, which is a refusal. */
function isApplicable(adjustments: readonly AdjustmentSettings[]): boolean {
  try {
    applyAdjustments(given, adjustments);
    return true;
  } catch (error) {
    expect(error).toMatchObject({ name: "AnalysisError", code: expect.stringMatching(/empty|missing/) });
    return false;
  }
}

describe("a common step", () => {
  it("is taken out of every temperature from its moment on, and of nothing else", () => {
    const { traces, channels, effects } = after({ kind: "common step", atS: 16, heightC: 0.5 });
    expect([...(traces[1]?.values ?? [])]).toEqual([30, 30.2, 30.4, 30.1, 30.3, 30.5]);
    expect(traces[2]).toBe(spread);
    expect(channels[0]).toBe(pulse);
    expect(effects).toEqual([{ largestChangeC: 0.5, maskedSamples: null }]);
  });
});

describe("a warming-up drift", () => {
  it("leaves the last sample as it is, the camera having settled", () => {
    const flat = { ...given, traces: [region("chest-left-anterior", "mean", 0, 0, 0, 0, 0, 0)] };
    const { traces } = applyAdjustments(flat, [
      { kind: "warming-up drift", startS: 10, amplitudeC: 1, tauS: 4 },
    ]);
    const kept = 1 - Math.exp(-10 / 4);
    for (const [i, value] of (traces[0]?.values ?? []).entries()) {
      expect(value).toBeCloseTo(kept - (1 - Math.exp((-2 * i) / 4)), 12);
    }
    const even = applyAdjustments(flat, [
      { kind: "warming-up drift", startS: 14, amplitudeC: 0.1, tauS: null },
    ]);
    for (const [i, expected] of [0.6, 0.6, 0.6, 0.4, 0.2, 0].entries())
      expect(even.traces[0]?.values[i]).toBeCloseTo(expected, 12);
  });
});

describe("a mask", () => {
  it("makes an interval missing, both ends included, in all series or in those that are named", () => {
    const some = after({ kind: "mask", fromS: 12, toS: 16, series: [seriesKey(chest), "heart rate"] });
    expect(valuesOf(some.traces)[0]).toEqual([33, Number.NaN, Number.NaN, Number.NaN, 33.3, 33.4]);
    expect(valuesOf(some.channels)[0]).toEqual([60, Number.NaN, Number.NaN, Number.NaN, 64, 65]);
    expect(some.traces[1]).toBe(hand);
    expect(some.effects).toEqual([{ largestChangeC: null, maskedSamples: 5 }]);
    const all = after({ kind: "mask", fromS: 0, toS: 99, series: null });
    expect([...valuesOf(all.traces), ...valuesOf(all.channels)].flat().every(Number.isNaN)).toBe(true);
    expect(all.effects[0]?.maskedSamples).toBe(22);
  });
});

describe("a time shift", () => {
  it("moves the clock and leaves the moments of other adjustments on the clock as it was read", () => {
    const step = { kind: "common step", atS: 16, heightC: 0.5 } as const;
    const shift = { kind: "time shift", byS: 100 } as const;
    const shifted = after(shift, step);
    expect(shifted.timeBase).toEqual({ ...timeBase, startS: 110 });
    expect(valuesOf(shifted.traces)).toEqual(valuesOf(after(step, shift).traces));
    const irregular = { kind: "irregular", timesS: Float64Array.of(0, 1, 2, 3, 4, 9) } as const;
    const moved = applyAdjustments({ ...given, timeBase: irregular }, [{ kind: "time shift", byS: -1 }]);
    expect(moved.timeBase).toEqual({ kind: "irregular", timesS: Float64Array.of(-1, 0, 1, 2, 3, 8) });
  });
});

describe("an emissivity correction", () => {
  // Apparent temperature at emissivity 1, emissivity, reflected temperature -> temperature of the grey surface:
  // grey-body radiometry, T_obj = {[T_app⁴ − (1 − ε)·T_refl⁴]/ε}^¼ in kelvin, worked out beforehand to four decimals.
  it.each([
    [33, 0.98, 22, 33.2125],
    [33, 0.97, 22, 33.3218],
    [33, 0.95, 22, 33.547],
    [30, 0.98, 20, 30.194],
    [36, 0.98, 25, 36.2126],
    [33, 0.98, 33, 33],
    [33, 0.98, 60, 32.3698],
  ])(
    "turns %s °C at emissivity %s under %s °C into %s °C, and back",
    (shown, emissivity, reflectedC, true_) => {
      const black = { emissivity: 1, reflectedC };
      const grey = { emissivity, reflectedC };
      const one = { ...given, traces: [region("chest-left-anterior", "mean", ...new Array(6).fill(shown))] };
      const there = applyAdjustments(one, [{ kind: "emissivity", from: black, to: grey }]);
      expect(there.traces[0]?.values[3]).toBeCloseTo(true_, 4);
      const back = applyAdjustments(there, [{ kind: "emissivity", from: grey, to: black }]);
      expect(back.traces[0]?.values[3]).toBeCloseTo(shown, 10);
    },
  );

  // The same radiometry forward: skin of 33 °C, emissivity 0.98, reflected 22 °C is shown as 32.7914 °C.
  it("undoes what the camera had applied itself", () => {
    const one = { ...given, traces: [region("chest-left-anterior", "mean", ...new Array(6).fill(33))] };
    const undone = applyAdjustments(one, [
      {
        kind: "emissivity",
        from: { emissivity: 0.98, reflectedC: 22 },
        to: { emissivity: 1, reflectedC: 22 },
      },
    ]);
    expect(undone.traces[0]?.values[0]).toBeCloseTo(32.7914, 4);
  });

  it("scales a spread by its slope: as two pixels that far apart come out", () => {
    const settings = {
      kind: "emissivity",
      from: { emissivity: 1, reflectedC: 22 },
      to: { emissivity: 0.95, reflectedC: 22 },
    } as const;
    const corrected = after(settings);
    const pixels = (...values: number[]) =>
      applyAdjustments({ ...given, traces: [region("hand-left-dorsal", "mean", ...values)] }, [settings])
        .traces[0]?.values ?? new Float64Array();
    const low = pixels(...hand.values.map((value, i) => value - (spread.values[i] || 0)));
    const high = pixels(...hand.values.map((value, i) => value + (spread.values[i] || 0)));
    for (const [i, value] of (corrected.traces[2]?.values ?? []).entries()) {
      if (Number.isNaN(spread.values[i])) expect(value).toBeNaN();
      else expect(value).toBeCloseTo(((high[i] ?? 0) - (low[i] ?? 0)) / 2, 5);
    }
    expect(corrected.effects[0]?.largestChangeC).toBeGreaterThan(0.4);
  });

  it("is refused for a spread without a temperature of its region, and for what is no temperature", () => {
    const settings = {
      kind: "emissivity",
      from: { emissivity: 1, reflectedC: 22 },
      to: { emissivity: 0.95, reflectedC: 22 },
    } as const;
    expect(refusal(() => applyAdjustments({ ...given, traces: [chest, spread] }, [settings]))).toBe(
      "missing: traces",
    );
    const sentinel = region("chest-left-anterior", "mean", 33, -999, 33, 33, 33, 33);
    expect(refusal(() => applyAdjustments({ ...given, traces: [sentinel] }, [settings]))).toBe(
      "out of range: traces",
    );
    const masked = [{ kind: "mask", fromS: 12, toS: 12, series: null } as const, settings];
    expect(applyAdjustments({ ...given, traces: [sentinel] }, masked).traces[0]?.values[1]).toBeNaN();
  });
});

describe("a reference surface", () => {
  const plate: ChannelTrace = {
    channel: "reference surface temperature",
    values: Float64Array.of(34.3, 34.3, 34.3, 34.8, 34.8, 34.8),
  };
  const drift = {
    kind: "reference drift",
    reference: "reference surface temperature",
    trueC: 34,
    smoothingS: 0,
  } as const;
  const withPlate = { ...given, channels: [plate] };

  it("takes the camera's offset out of every temperature, and stays as it was read", () => {
    const { traces, channels, effects } = applyAdjustments(withPlate, [drift]);
    expect(traces[1]?.values[0]).toBeCloseTo(29.7, 12);
    expect(traces[1]?.values[5]).toBeCloseTo(30.2, 12);
    expect(channels[0]).toBe(plate);
    expect(effects[0]?.largestChangeC).toBeCloseTo(0.8, 12);
  });

  it("saw the camera's step too, so that a step taken out before is not taken out again", () => {
    const step = { kind: "common step", atS: 16, heightC: 0.5 } as const;
    const both = applyAdjustments(withPlate, [step, drift]);
    const alone = applyAdjustments(withPlate, [drift]);
    for (const [i, value] of (alone.traces[1]?.values ?? []).entries())
      expect(both.traces[1]?.values[i]).toBeCloseTo(value, 12);
    const twice = applyAdjustments(withPlate, [drift, drift]);
    expect(twice.effects[1]?.largestChangeC).toBeCloseTo(0, 12);
  });

  it("may be one of the regions", () => {
    const { traces } = applyAdjustments(given, [
      { kind: "reference drift", reference: seriesKey(hand), trueC: 30, smoothingS: 0 },
    ]);
    for (const value of traces[1]?.values ?? []) expect(value).toBeCloseTo(30, 12);
  });

  it("is refused where it is not in the file or was never seen, and over times that run backwards", () => {
    expect(refusal(() => after(drift))).toBe("unknown: reference");
    const mask = { kind: "mask", fromS: 0, toS: 99, series: null } as const;
    expect(refusal(() => applyAdjustments(withPlate, [mask, drift]))).toBe("empty: reference");
    const backwards = { kind: "irregular", timesS: Float64Array.of(0, 1, 2, 1, 2, 3) } as const;
    expect(refusal(() => applyAdjustments({ ...withPlate, timeBase: backwards }, [drift]))).toBe(
      "not increasing: timeBase",
    );
  });
});

describe("settings of an adjustment", () => {
  it.each([
    [{ kind: "common step", atS: Number.NaN, heightC: 1 }, "atS"],
    [{ kind: "common step", atS: 0, heightC: Number.POSITIVE_INFINITY }, "heightC"],
    [{ kind: "warming-up drift", startS: Number.NaN, amplitudeC: 1, tauS: null }, "startS"],
    [{ kind: "warming-up drift", startS: 0, amplitudeC: 51, tauS: null }, "amplitudeC"],
    [{ kind: "warming-up drift", startS: 0, amplitudeC: 1, tauS: 0 }, "tauS"],
    [{ kind: "mask", fromS: 2, toS: 1, series: null }, "toS"],
    [{ kind: "mask", fromS: 1, toS: 2, series: [] }, "series"],
    [{ kind: "time shift", byS: Number.NaN }, "byS"],
    [
      {
        kind: "emissivity",
        from: { emissivity: 0, reflectedC: 20 },
        to: { emissivity: 0.98, reflectedC: 20 },
      },
      "from",
    ],
    [
      {
        kind: "emissivity",
        from: { emissivity: 1, reflectedC: 20 },
        to: { emissivity: 0.98, reflectedC: 295 },
      },
      "to",
    ],
    [{ kind: "reference drift", reference: "plate", trueC: Number.NaN, smoothingS: 60 }, "trueC"],
    [{ kind: "reference drift", reference: "plate", trueC: 34, smoothingS: -1 }, "smoothingS"],
  ] satisfies [AdjustmentSettings, string][])("%o are refused, naming %s", (settings, argument) => {
    expect(refusal(() => requireAdjustment(settings))).toBe(`out of range: ${argument}`);
    expect(refusal(() => after(settings))).toBe(`out of range: ${argument}`);
  });

  it("name a series that the file has, and series are as long as the times", () => {
    expect(refusal(() => after({ kind: "mask", fromS: 0, toS: 1, series: ["thigh (mean)"] }))).toBe(
      "unknown: series",
    );
    const short = { ...pulse, values: new Float64Array(3) };
    expect(refusal(() => applyAdjustments({ ...given, channels: [short] }, []))).toBe(
      "unequal lengths: traces",
    );
  });
});

describe("a point beside regions over an area", () => {
  const contact = region("fingertip-left-palmar", "point", 29, 29, 29, 29, 29, 29);
  const mixed = { ...given, traces: [...given.traces, contact] };
  const camera: AdjustmentSettings[] = [
    { kind: "common step", atS: 0, heightC: 0.5 },
    { kind: "warming-up drift", startS: 10, amplitudeC: 1, tauS: 4 },
    { kind: "reference drift", reference: seriesKey(hand), trueC: 30, smoothingS: 0 },
    { kind: "emissivity", from: { emissivity: 1, reflectedC: 20 }, to: { emissivity: 0.98, reflectedC: 20 } },
  ];

  it("is taken for a contact sensor, which no fault or setting of the camera touches", () => {
    expect(contactTraces(mixed.traces)).toEqual([contact]);
    const { traces } = applyAdjustments(mixed, camera);
    expect(traces[3]).toBe(contact);
    expect(traces[1]?.values[0]).not.toBe(hand.values[0]);
    const masked = applyAdjustments(mixed, [
      { kind: "mask", fromS: 0, toS: 99, series: [seriesKey(contact)] },
    ]);
    expect(masked.traces[3]?.values.every(Number.isNaN)).toBe(true);
  });

  it("is the camera's where its region has an area too, and where a file has points only", () => {
    const spot = region("hand-left-dorsal", "point", 29, 29, 29, 29, 29, 29);
    expect(cameraTraces([hand, spot])).toEqual([hand, spot]);
    expect(cameraTraces([contact, spot])).toEqual([contact, spot]);
    expect(cameraTraces([contact, spread])).toEqual([contact]);
  });
});
