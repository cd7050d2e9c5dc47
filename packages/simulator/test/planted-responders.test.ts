import { alignTrace, fallThenRewarming, gridAround, levelOver, trialWindows } from "@acral/analysis/course";
import { describe, expect, it } from "vitest";
import { simulateStudy } from "../src/index";

/** The recorded hands of every accepted trial whose camera had no fault, judged by the analysis' own rule. */
const study = simulateStudy({ seed: 20250303 });
const judged = study.trials.flatMap(({ file, fate, markers, volunteerIndex }, index) => {
  if (file === null || fate.kind !== "accepted" || study.truth.trial(index).cameraFaults.length > 0)
    return [];
  const series = file.series();
  const [rest, stepping, recovery, end] = markers.map(({ atS }) => atS);
  if (rest === undefined || stepping === undefined || recovery === undefined || end === undefined) return [];
  const windows = trialWindows("planted responders", [
    { name: "Rest", kind: "rest", startS: rest, endS: stepping },
    { name: "Stepping", kind: "exercise", startS: stepping, endS: recovery },
    { name: "Recovery", kind: "recovery", startS: recovery, endS: end },
  ]);
  if (windows === null) return [];
  return series.traces.flatMap(({ target, values }) => {
    if (target.kind !== "region" || !target.regionId.startsWith("hand-")) return [];
    const timeBase = { kind: "irregular" as const, timesS: series.timesS };
    const grid = gridAround(windows.originS, 10, 0, end);
    const aligned = alignTrace(timeBase, values, grid);
    const baseline = levelOver(aligned, { fromS: -120, toS: 0 });
    const { shown } = fallThenRewarming(aligned, windows.exercise, baseline);
    return [{ index, planted: study.truth.responses[volunteerIndex], shown }];
  });
});

describe("the rule for fall and rewarming, on recorded hands without camera faults", () => {
  it("has both hands of some 77 trials to judge", () => {
    expect(judged.length).toBeGreaterThan(140);
  });

  it("finds the volunteers who were planted as falling and rewarming, in every trial", () => {
    const missed = judged.filter(({ planted, shown }) => planted === "falls then rewarms" && !shown);
    expect(missed).toEqual([]);
  });

  it("finds nobody else", () => {
    const taken = judged.filter(({ planted, shown }) => planted !== "falls then rewarms" && shown);
    expect(taken).toEqual([]);
  });
});
