"use client";

import { Button, MultiSelect, NativeSelect } from "@mantine/core";
import { useQuery } from "@tanstack/react-query";
import { useMemo, useState } from "react";
import type { CourseSeries } from "@/charts/course";
import { CourseFigure } from "@/charts/course-figure";
import { seriesSign } from "@/charts/series-sign";
import { LoadingState } from "@/components/loading-state";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import classes from "./trial.module.css";
import { canEdit, type Trial } from "./trial-words";

type Course = Outputs["trial"]["course"];

interface Line {
  readonly id: string;
  readonly label: string;
  readonly quantity: string;
  readonly unit: string;
  readonly timesS: readonly number[];
  readonly values: readonly (number | null)[];
  readonly reduced: boolean;
  /** Drawn from the start, without being asked for. */
  readonly first: boolean;
}

const skin = "Skin temperature";
const spread = "Spread within the region";
const mostLines = 12;

/** Every trace as a line, grouped by what it measures: only lines of one quantity share an axis. */
function linesOf(course: Course): Line[] {
  const { meanSkinTemperature: mean } = course;
  const body: Line[] =
    mean.kind === "available"
      ? [{ ...mean, id: "mean skin temperature", quantity: skin, unit: "°C", first: true }]
      : [];
  const seen = new Map<string, number>();
  const traces = course.traces.map((trace): Line => {
    const quantity =
      trace.kind === "region" ? (trace.statistic === "standard deviation" ? spread : skin) : trace.label;
    const plain = `${trace.series} ${trace.statistic ?? ""}`;
    const count = (seen.get(plain) ?? 0) + 1;
    seen.set(plain, count);
    return {
      id: count === 1 ? plain : `${plain} ${count}`,
      // The same series from two files keeps apart by the file's name.
      label: count === 1 ? trace.label : `${trace.label}, ${trace.fileNames.join(", ")}`,
      quantity,
      unit: trace.unit,
      timesS: trace.timesS,
      values: trace.values,
      reduced: trace.reduced,
      first: trace.statistic === "mean" || trace.statistic === "point",
    };
  });
  return [...body, ...traces];
}

interface TraceFigureProps {
  readonly trial: Trial;
  readonly onPickTime: (seconds: number) => void;
}

/** The traces of a trial as recorded, with its phases. */
export function TraceFigure({ trial, onPickTime }: TraceFigureProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const course = useQuery(trpc.trial.course.queryOptions({ studyId, trialId: trial.trialId }));
  const [quantity, setQuantity] = useState<string | null>(null);
  const [chosen, setChosen] = useState<readonly string[] | null>(null);
  const lines = useMemo(() => (course.data === undefined ? [] : linesOf(course.data)), [course.data]);
  const quantities = [...new Set(lines.map((line) => line.quantity))];
  const shown = quantity !== null && quantities.includes(quantity) ? quantity : (quantities[0] ?? skin);
  const offered = lines.filter((line) => line.quantity === shown);
  const preset = offered.filter((line) => line.first).slice(0, 6);
  const drawn = offered.filter((line) =>
    chosen === null
      ? (preset.length === 0 ? offered.slice(0, 6) : preset).includes(line)
      : chosen.includes(line.id),
  );
  const series = drawn.map(
    (line): CourseSeries => ({
      id: line.id,
      label: line.label,
      sign: seriesSign(offered.indexOf(line)),
      timesS: line.timesS,
      values: line.values,
    }),
  );

  const heading = (
    <SectionHeading explanation="As recorded: nothing is smoothed or corrected.">Traces</SectionHeading>
  );
  if (course.isPending) {
    return (
      <section className={classes.section}>
        {heading}
        <LoadingState label="Reading the traces" lines={8} />
      </section>
    );
  }
  if (course.isError) {
    return (
      <section className={classes.section}>
        {heading}
        <QueryError error={course.error} what="the traces" onRetry={() => course.refetch()} />
      </section>
    );
  }
  const { meanSkinTemperature: mean, phases, markers, overlaps } = course.data;
  const moments = markers.filter((marker) => marker.phaseKey === null);
  return (
    <section className={classes.section}>
      {heading}
      {overlaps.map((overlap) => (
        <p key={overlap} className={classes.error} role="alert">
          {overlap}
        </p>
      ))}
      <div className={`${classes.row} ${classes.choice}`} data-screen-only>
        {quantities.length > 1 && (
          <NativeSelect
            label="Quantity"
            data={quantities}
            value={shown}
            onChange={(event) => {
              setQuantity(event.currentTarget.value);
              setChosen(null);
            }}
          />
        )}
        <MultiSelect
          label={`Lines, up to ${mostLines} at once`}
          data={offered.map((line) => ({ value: line.id, label: line.label }))}
          value={drawn.map((line) => line.id)}
          onChange={setChosen}
          maxValues={mostLines}
          searchable
          hidePickedOptions
          w={520}
          maw="100%"
        />
        {chosen !== null && (
          <Button variant="subtle" onClick={() => setChosen(null)}>
            First choice again
          </Button>
        )}
      </div>
      {series.length === 0 ? (
        <p className={classes.quiet}>Choose at least one line.</p>
      ) : (
        <CourseFigure
          title={`${shown} of ${trial.label}`}
          description={`${shown} over time on the trial's clock: ${drawn.map((line) => line.label).join(", ")}${
            phases.length === 0 ? "" : `; phases ${phases.map((phase) => phase.name).join(", ")}`
          }. The numbers are in the table below the figure.`}
          fileName={`trial-${trial.volunteerCode}-${trial.condition.key}-${trial.occasion}-traces`}
          series={series}
          quantity={shown}
          unit={drawn[0]?.unit ?? ""}
          timeLabel="Time on the trial's clock"
          phases={phases.map(({ name, startS, endS }) => ({ label: name, startS, endS }))}
          marks={moments.map(({ name, atS }) => ({ label: name, atS }))}
          onPickTime={onPickTime}
          note={
            <>
              {canEdit(trial) && <p>Point at the figure to place a marker, or type its time above.</p>}
              {drawn.some((line) => line.reduced) && (
                <p>
                  Reduced for drawing: of each stretch of time the lowest and the highest value are kept, so
                  that no extreme is lost.
                </p>
              )}
              {shown === skin && mean.kind === "unavailable" && (
                <p>Mean skin temperature (Ramanathan) is not available. {mean.reason}</p>
              )}
              {shown === skin && mean.kind === "available" && (
                <p>
                  Mean skin temperature: Ramanathan 1964, bins of {mean.binS} s, from{" "}
                  {mean.use.positions.map((position) => position.position).join(", ")}.
                </p>
              )}
            </>
          }
        />
      )}
    </section>
  );
}
