import { AnalysisError } from "@acral/analysis";
import { sampleTimes } from "@acral/analysis/course";
import type { z } from "zod";
import { adjustmentTitle, doubledBy, onClock, timeShiftOf } from "../adjustment/policy";
import type { previewAdjustmentInput } from "../adjustment/schema";
import { adjustmentsOfFile, clockOf, fileAsRead, isActive, parsed } from "../adjustment/service";
import { notFound } from "../app-error";
import { requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import type { ReadScope } from "../scope";
import { findFile } from "../source-file/service";
import { applyTo, inWords, seriesLabel, shifted } from "../trace/policy";
import { drawn } from "../trace/service";
import { findTrial } from "../trial/service";

/** What settings would do to the file, before they are recorded. A refusal is an answer here, not an error. */
export async function previewAdjustment(scope: ReadScope, input: z.output<typeof previewAdjustmentInput>) {
  const { trialId } = await findFile(scope, input.sourceFileId);
  const { trial } = await findTrial(scope, trialId);
  await requirePermission(scope, trial.volunteerId, permissionKeys.takePart, scope.now);
  const file = await fileAsRead(scope, input.sourceFileId);
  const rows = (await adjustmentsOfFile(scope, input.sourceFileId)).filter(isActive);
  const replaced = rows.findIndex(({ id }) => id === input.replacesId);
  if (input.replacesId !== null && replaced < 0) throw notFound("adjustment in force");
  const settings = onClock(input.settings, -clockOf(file));
  const now = rows.map(parsed);
  const others = now.filter((_, index) => index !== replaced);
  const then = replaced < 0 ? [...now, settings] : now.with(replaced, settings);
  const common = { title: adjustmentTitle(input.settings), caution: doubledBy(settings, others) };
  const nothing = { largestChangeC: null, maskedSamples: null, traces: [], unchanged: file.traces.length };
  try {
    const before = applyTo(file, now);
    const after = applyTo(file, then);
    const effect = after.effects.at(replaced < 0 ? -1 : replaced);
    const sameTimes = timeShiftOf(now) === timeShiftOf(then);
    const timesBefore = sampleTimes(shifted(before.timeBase, file.offsetS));
    const timesAfter = sampleTimes(shifted(after.timeBase, file.offsetS));
    const traces = file.traces.flatMap((trace, index) => {
      const from = before.traces[index]?.values ?? trace.values;
      const to = after.traces[index]?.values ?? trace.values;
      if (sameTimes && sameValues(from, to)) return [];
      return [
        {
          kind: trace.kind,
          series: trace.series,
          statistic: trace.statistic,
          label: seriesLabel(trace),
          unit: trace.unit,
          largestChangeC: trace.kind === "region" ? largestDifference(from, to) : null,
          before: drawn(timesBefore, from),
          after: drawn(timesAfter, to),
        },
      ];
    });
    return {
      ...common,
      problem: traces.length === 0 ? "This would change no value of the file." : null,
      largestChangeC: effect?.largestChangeC ?? null,
      maskedSamples: effect?.maskedSamples ?? null,
      traces,
      unchanged: file.traces.length - traces.length,
    };
  } catch (error) {
    if (!(error instanceof AnalysisError)) throw error;
    return { ...common, ...nothing, problem: `The file cannot be adjusted so. ${inWords(error.message)}` };
  }
}

function sameValues(a: Float64Array, b: Float64Array): boolean {
  return a === b || a.every((value, i) => Object.is(value, b[i]));
}

function largestDifference(a: Float64Array, b: Float64Array): number {
  let largest = 0;
  for (const [i, value] of a.entries()) {
    const difference = Math.abs(value - (b[i] as number));
    if (difference > largest) largest = difference;
  }
  return largest;
}
