import { applyAdjustments, checkTraces, type Finding } from "@acral/analysis/quality";
import { beforeAll, describe, expect, it } from "vitest";
import { referenceSurfaceC } from "../src/camera";
import { simulateStudy } from "../src/simulate-study";
import type { CameraFault, SimulatedTrial, TrialTruth } from "../src/types";

/**
 * The quality checks of packages/analysis on bodies that were not made for them: the demo study's physiology, a camera that wanders
 * by itself, outlines that move with the body, and contact points under gloves in the same file.
 */
interface Checked {
  readonly trial: SimulatedTrial;
  readonly truth: TrialTruth;
  readonly findings: readonly Finding[];
  readonly endS: number;
}

const study = simulateStudy({ seed: 1 });

function recorded(trial: SimulatedTrial) {
  const series = trial.file?.series();
  if (series === undefined) throw new Error("a trial without a file is passed over");
  const traces = series.traces.flatMap(({ target, values }) =>
    target.kind === "region" ? [{ regionId: target.regionId, statistic: target.statistic, values }] : [],
  );
  const channels = series.traces.flatMap(({ target, values }) =>
    target.kind === "channel" ? [{ channel: target.channel, values }] : [],
  );
  return { timeBase: { kind: "irregular", timesS: series.timesS } as const, traces, channels };
}

function exerciseStartOf({ markers }: SimulatedTrial): number {
  const marker = markers.find(({ name }) => name === "Stepping");
  if (marker === undefined) throw new Error("every trial of the demo steps");
  return marker.atS;
}

const ofKind = <Kind extends CameraFault["kind"]>({ truth }: Checked, kind: Kind) =>
  truth.cameraFaults.filter((fault): fault is Extract<CameraFault, { kind: Kind }> => fault.kind === kind);

describe("on the trials of the demo study, quality checks", () => {
  let checked: Checked[] = [];

  beforeAll(() => {
    checked = study.trials.flatMap((trial, index) => {
      if (trial.file === null) return [];
      const { timeBase, traces } = recorded(trial);
      const settings = { commonDrift: { exerciseStartS: exerciseStartOf(trial) } };
      const findings = checkTraces({ timeBase, traces, settings });
      return [
        { trial, truth: study.truth.trial(index), findings, endS: timeBase.timesS.at(-1) ?? Number.NaN },
      ];
    });
  }, 120_000);

  it("find every recalibration step at its moment, and no other", () => {
    let injected = 0;
    for (const one of checked) {
      const steps = ofKind(one, "recalibration step");
      const found = one.findings.filter(({ kind }) => kind === "common step");
      injected += steps.length;
      expect(found).toHaveLength(steps.length);
      for (const step of steps) {
        const near = found.find(({ fromS, toS }) => fromS <= step.atS && step.atS <= toS);
        expect(Math.abs((near?.size ?? Number.NaN) - step.sizeC)).toBeLessThan(0.1);
      }
    }
    expect(injected).toBeGreaterThan(5);
  });

  it("find every warm-up drift, its size within 2.6 of its standard errors, and none in at least 95 % of the others", () => {
    let wrong = 0;
    const drifting = checked.filter((one) => ofKind(one, "warm-up drift").length > 0);
    for (const one of checked) {
      const [drift] = ofKind(one, "warm-up drift");
      const found = one.findings.find(({ kind }) => kind === "common drift");
      if (drift === undefined) {
        if (found !== undefined) wrong++;
        continue;
      }
      const size = -drift.initialC * (1 - Math.exp(-one.endS / drift.timeConstantS));
      const error = Math.abs((found?.size ?? Number.NaN) - size);
      expect(error / (found?.standardError ?? Number.NaN)).toBeLessThan(2.6);
    }
    expect(drifting.length).toBeGreaterThan(5);
    expect(wrong / (checked.length - drifting.length)).toBeLessThanOrEqual(0.05);
  });

  it("find nothing else than gaps and missing values", () => {
    const others = checked.flatMap(({ findings }) =>
      findings.filter(
        ({ kind }) => !["common step", "common drift", "gap in time", "values missing"].includes(kind),
      ),
    );
    expect(others.map(({ key }) => key)).toEqual([]);
  });

  it("and the reference surface bring every baseline back to within 0.1 °C of the body's own, drift or not", () => {
    let compared = 0;
    for (const { trial, truth } of checked) {
      const given = recorded(trial);
      const reference = "reference surface temperature";
      if (!given.channels.some(({ channel }) => channel === reference)) continue;
      const { traces } = applyAdjustments(given, [
        { kind: "reference drift", reference, trueC: referenceSurfaceC, smoothingS: 60 },
      ]);
      const exerciseStartS = exerciseStartOf(trial);
      for (const { regionId, statistic, values } of traces) {
        if (statistic !== "mean") continue;
        const rest = values.filter((_, i) => {
          const time = given.timeBase.timesS[i] ?? Number.NaN;
          return time >= exerciseStartS - 120 && time < exerciseStartS;
        });
        const baseline = rest.reduce((sum, value) => sum + value, 0) / rest.length;
        const own = truth.regions.get(regionId)?.baselineC ?? Number.NaN;
        expect(Math.abs(baseline - own), `${regionId} of a trial on ${trial.startedAt}`).toBeLessThan(0.1);
        compared++;
      }
    }
    expect(compared).toBeGreaterThan(500);
  });
});
