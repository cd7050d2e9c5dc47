import { describe, expect, it } from "vitest";
import {
  type AdjustmentDraft,
  type AdjustmentSettings,
  draftOf,
  emptyDraft,
  kindOrder,
  pickMoment,
  settingsOf,
} from "./adjustment-draft";

const every: readonly AdjustmentSettings[] = [
  { kind: "reference drift", reference: "reference surface", trueC: 35, smoothingS: 60 },
  { kind: "common step", atS: 600, heightC: -0.8 },
  { kind: "warming-up drift", startS: 0, amplitudeC: 1.5, tauS: 900 },
  { kind: "warming-up drift", startS: 0, amplitudeC: 0.36 / 3600, tauS: null },
  { kind: "mask", fromS: 30, toS: 45.5, series: null },
  { kind: "mask", fromS: 30, toS: 45.5, series: ["hand-left-dorsal (mean)"] },
  { kind: "time shift", byS: -2.5 },
  {
    kind: "emissivity",
    from: { emissivity: 1, reflectedC: 20 },
    to: { emissivity: 0.98, reflectedC: 23.4 },
  },
];

describe("an adjustment that is being entered", () => {
  it.each(every)("comes back as it was: %o", (settings) => {
    expect(settingsOf(draftOf(settings))).toEqual(settings);
  });

  it("is entered in numbers that people write: an even drift per hour, a time constant in minutes", () => {
    expect(draftOf({ kind: "warming-up drift", startS: 0, amplitudeC: 0.0001, tauS: null })).toMatchObject({
      settles: false,
      size: 0.36,
      tauMin: null,
    });
    expect(draftOf({ kind: "warming-up drift", startS: 0, amplitudeC: 2, tauS: 600 })).toMatchObject({
      tauMin: 10,
    });
  });

  it("keeps on their side the samples that a moment means, whatever is rounded", () => {
    // At 30 per second the second and the third sample are at 0.0333… and 0.0666… s.
    const [second, third] = [1 / 30, 2 / 30];
    const step = draftOf({ kind: "common step", atS: third, heightC: 1 });
    expect(step.kind === "common step" && step.atS !== null && step.atS <= third && step.atS > second).toBe(
      true,
    );
    const mask = draftOf({ kind: "mask", fromS: third, toS: third, series: null });
    expect(mask).toMatchObject({ fromS: 0.066, toS: 0.067 });
  });

  it("says nothing while something of it is not filled in", () => {
    for (const kind of kindOrder) expect(settingsOf(emptyDraft(kind))).toBeNull();
    const noSeries: AdjustmentDraft = { kind: "mask", fromS: 1, toS: 2, series: [] };
    expect(settingsOf(noSeries)).toBeNull();
  });
});

describe("a moment that is pointed at", () => {
  it("is where a step is", () => {
    expect(pickMoment(emptyDraft("common step"), 61.23)).toMatchObject({ atS: 61.2 });
  });

  it("is one end of a mask, then the other in either order, and then begins another", () => {
    const first = pickMoment(emptyDraft("mask"), 90);
    const second = pickMoment(first, 60);
    expect(second).toMatchObject({ fromS: 60, toS: 90 });
    expect(pickMoment(second, 10)).toMatchObject({ fromS: 10, toS: null });
  });

  it("changes nothing where no moment is entered", () => {
    const draft = emptyDraft("time shift");
    expect(pickMoment(draft, 5)).toBe(draft);
  });
});
