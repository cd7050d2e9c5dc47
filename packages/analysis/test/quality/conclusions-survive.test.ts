import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type MeasureName, measureCatalogue, measureEntry, trialMeasures } from "../../src/course";
import { applyAdjustments, type ComparableMeasure, conclusionsSurvive } from "../../src/quality";
import { drawnTrial, exerciseS, recoveryS, restS, withCommon } from "./drawn-trial";

const hand = "hand-left-dorsal";
const measure = (
  name: MeasureName,
  value: number | null,
  regionId: string | null = hand,
): ComparableMeasure => ({
  name,
  regionId,
  unit: measureEntry(name).unit,
  value,
});

const responder = (rise: number): ComparableMeasure[] => [
  measure("fall", 2),
  measure("rise", rise),
  measure("time of lowest point", 400),
  measure("onset of rewarming", 420),
];

describe("the conclusions of a trial", () => {
  it("survive where no measure differs by more than 0.1 °C or 10 s", () => {
    const before = [
      measure("baseline", 32.4),
      measure("time of lowest point", 400),
      measure("plateau", null),
    ];
    const after = [
      measure("baseline", 32.49),
      measure("time of lowest point", 410),
      measure("plateau", null),
    ];
    expect(conclusionsSurvive(after, before)).toEqual({
      verdict: "same",
      changes: [],
      compared: 3,
      sentence:
        "The conclusions survive: with and without the adjustments none of 3 measures differs by more than 0.1 °C or 10 s.",
    });
  });

  it("survive where only levels are others, as they are after a constant offset", () => {
    const { verdict, sentence } = conclusionsSurvive(
      [measure("baseline", 32.4), measure("end of exercise", 31.5), measure("change", -0.9)],
      [measure("baseline", 32.8), measure("end of exercise", 31.8), measure("change", -1)],
    );
    expect(verdict).toBe("levels only");
    expect(sentence).toBe(
      "The conclusions survive: 2 of 3 measures differ by more than 0.1 °C or 10 s without the adjustments, all of them levels (most: baseline of left hand, dorsal differs (32.40 °C with, 32.80 °C without)); changes, differences, times and rates do not.",
    );
  });

  it("rest on the adjustments where a change turns round, a time moves, or a measure is there only once", () => {
    const turned = conclusionsSurvive([measure("change", -0.2, null)], [measure("change", 0.3, null)]);
    expect(turned).toMatchObject({ verdict: "rest on adjustments", changes: [{ turnsRound: true }] });
    expect(turned.sentence).toBe(
      "The conclusions rest on the adjustments: change of mean skin temperature turns round (-0.20 °C with, 0.30 °C without), of 1 measure.",
    );
    expect(
      conclusionsSurvive([measure("time of lowest point", 400)], [measure("time of lowest point", 411)]),
    ).toMatchObject({ verdict: "rest on adjustments" });
    const once = conclusionsSurvive(
      [measure("recovery half-time", 300)],
      [measure("recovery half-time", null)],
    );
    expect(once.changes).toEqual([
      { kind: "given only once", name: "recovery half-time", regionId: hand, givenWithAdjustments: true },
    ]);
    expect(conclusionsSurvive([measure("change", 1)], []).verdict).toBe("rest on adjustments");
  });

  it("rest on the adjustments where a region falls and rewarms only with them, even by less than the limit", () => {
    const { verdict, changes, sentence } = conclusionsSurvive(responder(0.52), responder(0.48));
    expect(verdict).toBe("rest on adjustments");
    expect(changes).toEqual([{ kind: "fall then rewarming", regionId: hand, shownWithAdjustments: true }]);
    expect(sentence).toContain("left hand, dorsal falls and rewarms only with them");
  });

  it("compare rates and areas by what 0.1 °C makes over ten minutes", () => {
    const rate = (value: number) => [measure("rate of rewarming", value)];
    expect(conclusionsSurvive(rate(0.005), rate(0.00514)).verdict).toBe("same");
    expect(conclusionsSurvive(rate(0.005), rate(0.0052)).verdict).toBe("rest on adjustments");
    const area = (value: number) => [measure("area under the change", value)];
    expect(conclusionsSurvive(area(-1000), area(-1059)).verdict).toBe("same");
    expect(conclusionsSurvive(area(-1000), area(-1061)).verdict).toBe("rest on adjustments");
  });

  it("name the same changes in whichever order measures come, and none for a trial beside itself", () => {
    const measures = fc.uniqueArray(
      fc
        .tuple(
          fc.constantFrom(...measureCatalogue.map(({ name }) => name)),
          fc.option(fc.integer({ min: -9, max: 9 })),
        )
        .map(([name, value]) => measure(name, value)),
      { selector: ({ name }) => name, maxLength: 12 },
    );
    fc.assert(
      fc.property(measures, measures, (a, b) => {
        expect(conclusionsSurvive(a, a).verdict).toBe("same");
        const forth = conclusionsSurvive(a, b);
        expect(conclusionsSurvive([...a].reverse(), [...b].reverse()).verdict).toBe(forth.verdict);
        const back = conclusionsSurvive(b, a);
        expect(back.verdict).toBe(forth.verdict);
        expect(back.changes).toHaveLength(forth.changes.length);
      }),
    );
  });

  it("of a drawn trial with a step within exercise rest on taking it out", () => {
    const clean = drawnTrial(8, 2);
    const stepped = withCommon(clean, (timeS) => (timeS >= 1500 ? 0.6 : 0));
    const phases = [
      { name: "rest", kind: "rest", startS: 0, endS: restS },
      { name: "exercise", kind: "exercise", startS: restS, endS: restS + exerciseS },
      {
        name: "recovery",
        kind: "recovery",
        startS: restS + exerciseS,
        endS: restS + exerciseS + recoveryS - 2,
      },
    ] as const;
    const measuresOf = ({ timeBase, traces }: typeof clean) =>
      trialMeasures({ traces: traces.map((trace) => ({ ...trace, timeBase })), phases }).measures;
    const adjusted = applyAdjustments({ ...stepped, channels: [] }, [
      { kind: "common step", atS: 1500, heightC: 0.6 },
    ]);
    const repaired = { timeBase: adjusted.timeBase, traces: [...adjusted.traces] };
    expect(conclusionsSurvive(measuresOf(repaired), measuresOf(stepped)).verdict).toBe("rest on adjustments");
    expect(conclusionsSurvive(measuresOf(repaired), measuresOf(clean)).verdict).toBe("same");
  });
});
