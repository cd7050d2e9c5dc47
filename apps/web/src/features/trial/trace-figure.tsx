"use client";

import { Button, MultiSelect, NativeSelect, SegmentedControl } from "@mantine/core";
import { keepPreviousData, useQuery } from "@tanstack/react-query";
import { type ReactNode, useMemo, useState } from "react";
import type { CourseSeries } from "@/charts/course";
import { CourseFigure } from "@/charts/course-figure";
import { seriesSign } from "@/charts/series-sign";
import { LoadingState } from "@/components/loading-state";
import { SectionHeading } from "@/components/section-heading";
import { ChosenFinding } from "@/features/quality/chosen-finding";
import { intervalOf, type NumberedFinding, spanAround } from "@/features/quality/quality-words";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { linesOf, skin, type TraceLine } from "./trace-lines";
import classes from "./trial.module.css";
import { canEdit, type Trial } from "./trial-words";

const mostLines = 12;

/** Which of the two courses is shown, where there are adjustments. */
type View = "adjusted" | "recorded" | "both";

interface TraceFigureProps {
  readonly trial: Trial;
  readonly onPickTime: (seconds: number) => void;
  readonly findings: readonly NumberedFinding[];
  readonly chosenFinding: string | null;
  readonly onChooseFinding: (id: string | null) => void;
  /** How many adjustments are applied to the files of the trial. */
  readonly adjustments: number;
}

/** The traces of a trial with its phases and findings: with its adjustments, as recorded, or both. */
export function TraceFigure({
  trial,
  onPickTime,
  findings,
  chosenFinding,
  onChooseFinding,
  adjustments,
}: TraceFigureProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const [wanted, setWanted] = useState<View>("adjusted");
  const view: View = adjustments === 0 ? "adjusted" : wanted;
  const [quantity, setQuantity] = useState<string | null>(null);
  const [chosen, setChosen] = useState<readonly string[] | null>(null);
  /** The finding around which the whole trial is shown all the same. */
  const [wholeFor, setWholeFor] = useState<string | null>(null);
  const found = findings.find(({ id }) => id === chosenFinding);

  const around =
    found === undefined || trial.recording === null ? null : spanAround(found.finding, trial.recording);
  const span = wholeFor === found?.id ? null : around;
  // A closer look is asked for anew: what was reduced for the whole trial has too few points for a part of it.
  const of = { studyId, trialId: trial.trialId, span };
  const course = useQuery(
    trpc.trial.course.queryOptions(
      { ...of, asRecorded: view === "recorded" },
      { placeholderData: keepPreviousData },
    ),
  );
  const recorded = useQuery(
    trpc.trial.course.queryOptions(
      { ...of, asRecorded: true },
      { enabled: view === "both", placeholderData: keepPreviousData },
    ),
  );
  const lines = useMemo(() => (course.data === undefined ? [] : linesOf(course.data)), [course.data]);
  const recordedLines = useMemo(
    () => (view !== "both" || recorded.data === undefined ? [] : linesOf(recorded.data)),
    [recorded.data, view],
  );
  const intervals = useMemo(() => findings.map(intervalOf), [findings]);
  const quantities = [...new Set(lines.map((line) => line.quantity))];
  const shown = quantity !== null && quantities.includes(quantity) ? quantity : (quantities[0] ?? skin);
  const offered = lines.filter((line) => line.quantity === shown);
  const preset = offered.filter((line) => line.first).slice(0, 6);
  const drawn = offered.filter((line) =>
    chosen === null
      ? (preset.length === 0 ? offered.slice(0, 6) : preset).includes(line)
      : chosen.includes(line.id),
  );
  const asSeries = (line: TraceLine): CourseSeries => ({
    id: line.id,
    label: line.label,
    sign: seriesSign(offered.findIndex(({ id }) => id === line.id)),
    timesS: line.timesS,
    values: line.values,
  });
  const series = drawn.map(asSeries);
  const behind = recordedLines.filter((line) => drawn.some(({ id }) => id === line.id)).map(asSeries);

  const heading = (
    <SectionHeading id="traces" explanation={viewWords(view, adjustments)}>
      {`Traces${adjustments === 0 ? "" : view === "recorded" ? ", as recorded" : view === "both" ? ", adjusted and as recorded" : ", adjusted"}`}
    </SectionHeading>
  );
  const section = (children: ReactNode) => (
    <section className={classes.section} aria-labelledby="traces">
      {heading}
      {children}
    </section>
  );
  if (course.isPending) return section(<LoadingState label="Reading the traces" lines={8} />);
  if (course.isError) {
    return section(<QueryError error={course.error} what="the traces" onRetry={() => course.refetch()} />);
  }
  const { meanSkinTemperature: mean, phases, markers, overlaps } = course.data;
  const moments = markers.filter((marker) => marker.phaseKey === null);
  return section(
    <>
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
      {adjustments > 0 && (
        <div className={classes.view} data-screen-only>
          <SegmentedControl
            aria-label="Which traces"
            value={view}
            onChange={setWanted}
            data={[
              { value: "adjusted", label: "Adjusted" },
              { value: "recorded", label: "As recorded" },
              { value: "both", label: "Both" },
            ]}
          />
        </div>
      )}
      {recorded.isError && view === "both" && (
        <QueryError error={recorded.error} what="the traces as recorded" onRetry={() => recorded.refetch()} />
      )}
      {series.length === 0 ? (
        <p className={classes.quiet}>Choose at least one line.</p>
      ) : (
        <CourseFigure
          title={`${shown} of ${trial.label}${adjustments === 0 ? "" : view === "recorded" ? ", as recorded" : view === "both" ? ", adjusted and as recorded" : ", adjusted"}`}
          description={`${shown} over time on the trial's clock: ${drawn.map((line) => line.label).join(", ")}${
            phases.length === 0 ? "" : `; phases ${phases.map((phase) => phase.name).join(", ")}`
          }${
            findings.length === 0
              ? ""
              : `; ${findings.length === 1 ? "1 finding, marked by its number" : `${findings.length} findings, marked by their numbers`}`
          }. The numbers are in the table below the figure.`}
          fileName={`trial-${trial.volunteerCode}-${trial.condition.key}-${trial.occasion}-traces${adjustments === 0 ? "" : `-${view}`}`}
          series={series}
          {...(behind.length === 0 ? {} : { behind: { label: "as recorded", series: behind } })}
          quantity={shown}
          unit={drawn[0]?.unit ?? ""}
          timeLabel="Time on the trial's clock"
          phases={phases.map(({ name, startS, endS }) => ({ label: name, startS, endS }))}
          marks={moments.map(({ name, atS }) => ({ label: name, atS }))}
          intervals={intervals}
          chosenInterval={chosenFinding}
          onChooseInterval={(id) => {
            setWholeFor(null);
            onChooseFinding(id === chosenFinding ? null : id);
          }}
          highlight={found?.finding ?? null}
          span={span}
          onPickTime={onPickTime}
          note={
            <>
              {canEdit(trial) && <p>Point at the figure to place a marker, or type its time above.</p>}
              {findings.length > 0 && (
                <p>
                  Numbers above the lines are findings: filled while open, outlined once something was
                  decided.
                </p>
              )}
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
      <ChosenFinding
        numbered={found}
        zoomed={span !== null}
        canZoom={around !== null}
        onZoom={(zoom) => setWholeFor(zoom ? null : (found?.id ?? null))}
        onClose={() => onChooseFinding(null)}
      />
    </>,
  );
}

function viewWords(view: View, adjustments: number): string {
  if (adjustments === 0) return "As recorded: nothing is smoothed or corrected.";
  const count = adjustments === 1 ? "1 adjustment" : `${adjustments} adjustments`;
  switch (view) {
    case "adjusted":
      return `With ${count}, as everything computed uses them. Nothing is smoothed; the files stay as they were.`;
    case "recorded":
      return `As recorded, without the ${count}: nothing is smoothed or corrected.`;
    case "both":
      return `With ${count}; as recorded thin, dashed and grey behind. Nothing is smoothed.`;
  }
}
