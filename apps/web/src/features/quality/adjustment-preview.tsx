"use client";

import { MultiSelect, Text } from "@mantine/core";
import { keepPreviousData, skipToken, useQuery } from "@tanstack/react-query";
import { useState } from "react";
import type { CourseSeries, TimeSpan } from "@/charts/course";
import { CourseFigure } from "@/charts/course-figure";
import { seriesSign } from "@/charts/series-sign";
import { LoadingState } from "@/components/loading-state";
import { formatNumber } from "@/components/quantity";
import { StateBadge } from "@/components/state-badge";
import { useStudy } from "@/features/study/study-context";
import type { Trial } from "@/features/trial/trial-words";
import { useTRPC, useTRPCClient } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";
import type { AdjustmentSettings } from "./adjustment-draft";
import classes from "./quality.module.css";
import type { Finding, QualityFile } from "./quality-words";
import { type FileSeries, keyOfSeries } from "./use-file-series";

const mostLines = 6;
const firstLines = 4;

interface AdjustmentPreviewProps {
  readonly trial: Trial;
  readonly file: QualityFile;
  /** Null while something is not filled in. */
  readonly settings: AdjustmentSettings | null;
  readonly series: readonly FileSeries[];
  /** The finding that the adjustment is for; its series are shown first. */
  readonly concerned: Finding | null;
  readonly highlight: TimeSpan | null;
  readonly onPickTime: ((seconds: number) => void) | null;
}

/** The file's traces before and after an adjustment that is not recorded yet. */
export function AdjustmentPreview({
  trial,
  file,
  settings,
  series,
  concerned,
  highlight,
  onPickTime,
}: AdjustmentPreviewProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const client = useTRPCClient();
  const [chosen, setChosen] = useState<readonly string[] | null>(null);
  const { sourceFileId } = file;
  const preview = useQuery({
    // A mutation for the server only by its size; here it is asked like anything else that is read.
    queryKey: [...trpc.quality.preview.mutationKey(), { studyId, sourceFileId, settings }],
    queryFn:
      settings === null
        ? skipToken
        : () => client.quality.preview.mutate({ studyId, sourceFileId, settings }),
    placeholderData: keepPreviousData,
  });
  const answer = settings === null ? undefined : preview.data;
  const temperatures = series.filter(({ isTemperature }) => isTemperature);
  const related = new Set((concerned?.series ?? []).map(keyOfSeries));
  const preset = [...temperatures.filter(({ value }) => related.has(value)), ...temperatures]
    .slice(0, firstLines)
    .map(({ value }) => value);
  const wanted = chosen ?? preset;
  const offered = series.filter(({ unit }) => unit === "°C");
  const shown = offered.filter(({ value }) => wanted.includes(value));
  const lineOf = (one: FileSeries, from: Pick<CourseSeries, "timesS" | "values">): CourseSeries => ({
    id: one.value,
    label: one.label,
    sign: seriesSign(offered.indexOf(one)),
    timesS: from.timesS,
    values: from.values,
  });
  const possible = answer !== undefined && answer.problem === null ? answer : null;
  const of = (one: FileSeries) => possible?.traces.find((trace) => keyOfSeries(trace) === one.value);
  const after = shown.map((one) => lineOf(one, of(one)?.after ?? one));
  const before =
    possible === null ? [] : shown.flatMap((one) => (of(one) ? [lineOf(one, of(one)?.before ?? one)] : []));

  return (
    <div className={classes.preview}>
      <p role="status" className={classes.change} aria-busy={preview.isFetching}>
        {settings === null
          ? "Fill in the numbers to see what they do."
          : preview.isPending
            ? "Working it out …"
            : changeWords(answer)}
      </p>
      {possible !== null && possible.caution !== null && (
        <p className={classes.doubt}>
          <StateBadge shape="alert">{possible.caution}</StateBadge>
        </p>
      )}
      {preview.isError && settings !== null && (
        <Text role="alert" c="var(--mantine-color-error)">
          {failureOf(preview.error).message}
        </Text>
      )}
      <MultiSelect
        label={`Lines, up to ${mostLines} at once`}
        data={offered.map(({ value, label }) => ({ value, label }))}
        value={shown.map(({ value }) => value)}
        onChange={setChosen}
        maxValues={mostLines}
        searchable
        hidePickedOptions
        data-screen-only
      />
      {series.length === 0 ? (
        <LoadingState label="Reading the traces" lines={6} />
      ) : (
        <CourseFigure
          title={possible === null ? `${file.fileName} as it stands` : `${file.fileName} before and after`}
          description={`Temperature over time on the trial's clock of ${shown.map(({ label }) => label).join(", ")}${
            possible === null ? "" : "; before the adjustment thin and dashed"
          }. The numbers are in the table below the figure.`}
          fileName={`trial-${trial.volunteerCode}-${trial.condition.key}-${trial.occasion}-adjustment`}
          series={after}
          {...(before.length === 0 ? {} : { behind: { label: "before", series: before } })}
          quantity="Temperature"
          unit="°C"
          timeLabel="Time on the trial's clock"
          phases={trial.phases.map(({ name, startS, endS }) => ({ label: name, startS, endS }))}
          highlight={highlight}
          height={300}
          {...(onPickTime === null ? {} : { onPickTime })}
          {...(onPickTime === null
            ? {}
            : { note: <p>Point at the figure to fill in a moment, or type it.</p> })}
        />
      )}
    </div>
  );
}

/** The largest change in words: what the whole adjustment comes to. */
function changeWords(answer: Outputs["quality"]["preview"] | undefined): string {
  if (answer === undefined) return "";
  if (answer.problem !== null) return answer.problem;
  const parts = [
    ...(answer.largestChangeC === null
      ? []
      : [`The largest change is ${formatNumber(answer.largestChangeC, 2)} °C.`]),
    ...(answer.maskedSamples === null ? [] : [`${answer.maskedSamples} values become missing.`]),
    answer.unchanged === 0
      ? "It concerns every series of the file."
      : `It concerns ${answer.traces.length} of ${answer.traces.length + answer.unchanged} series.`,
  ];
  return `${answer.title}. ${parts.join(" ")}`;
}
