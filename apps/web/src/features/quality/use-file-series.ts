"use client";

import { useQuery } from "@tanstack/react-query";
import { useMemo } from "react";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { SeriesOption } from "./adjustment-fields";
import type { QualityFile } from "./quality-words";

/** What adjustments call a series: "forearm-left-anterior (mean)" for a region, its name for a channel. */
export function keyOfSeries({ series, statistic }: { series: string; statistic: string | null }): string {
  return statistic === null ? series : `${series} (${statistic})`;
}

/** A series of a file as it stands, with the adjustments that are applied. */
export interface FileSeries extends SeriesOption {
  readonly unit: string;
  readonly timesS: readonly number[];
  readonly values: readonly (number | null)[];
}

/** The series of one file, as the trial's figure shows them. */
export function useFileSeries(trialId: string, file: QualityFile): readonly FileSeries[] {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const course = useQuery(
    trpc.trial.course.queryOptions({ studyId, trialId, span: null, asRecorded: false }),
  );
  return useMemo(() => {
    const traces = (course.data?.traces ?? []).filter(({ fileNames }) => fileNames.includes(file.fileName));
    const seen = new Map(
      traces.map((trace): [string, FileSeries] => [
        keyOfSeries(trace),
        {
          value: keyOfSeries(trace),
          label: trace.label,
          unit: trace.unit,
          isTemperature: trace.unit === "°C" && trace.statistic !== "standard deviation",
          timesS: trace.timesS,
          values: trace.values,
        },
      ]),
    );
    return [...seen.values()];
  }, [course.data, file.fileName]);
}
