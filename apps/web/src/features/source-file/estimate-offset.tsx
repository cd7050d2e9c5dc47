"use client";

import { Button, NativeSelect } from "@mantine/core";
import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { CourseFigure } from "@/charts/course-figure";
import { seriesSign } from "@/charts/series-sign";
import { LoadingState } from "@/components/loading-state";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import { DoubtSign } from "./doubt-sign";
import type { Clock, PlacingProps } from "./file-clock";
import classes from "./source-file.module.css";

type Series = Clock["series"][number];
type Estimate = Outputs["sourceFile"]["estimateOffset"];

const keyOf = ({ series, statistic }: Series) => `${series}\n${statistic ?? ""}`;
const optionsOf = (series: readonly Series[]) =>
  series.map((one) => ({ value: keyOf(one), label: `${one.label}, ${one.unit}` }));

/** The best pair to begin with: the same series in both, else the same quantity, else the first of each. */
function firstPair(own: readonly Series[], other: readonly Series[]): [string, string] {
  const same = own.find((one) => other.some((candidate) => keyOf(candidate) === keyOf(one)));
  if (same !== undefined) return [keyOf(same), keyOf(same)];
  const alike = own.find((one) => other.some((candidate) => candidate.unit === one.unit));
  const partner = other.find((candidate) => candidate.unit === alike?.unit);
  const [mine, theirs] = [alike ?? own[0], partner ?? other[0]];
  return [mine === undefined ? "" : keyOf(mine), theirs === undefined ? "" : keyOf(theirs)];
}

/** Estimates the offset from two series that saw the same, shows both before and after, and takes it only on request. */
export function EstimateOffset({ clock, pending, onPlace }: PlacingProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const [otherId, setOtherId] = useState(clock.others[0]?.sourceFileId ?? "");
  const other = clock.others.find(({ sourceFileId }) => sourceFileId === otherId);
  const [pair, setPair] = useState(firstPair(clock.series, other?.series ?? []));
  const [asked, setAsked] = useState<string | null>(null);
  const own = clock.series.find((one) => keyOf(one) === pair[0]);
  const theirs = other?.series.find((one) => keyOf(one) === pair[1]);
  const question = JSON.stringify([otherId, pair, clock.offsetS, other?.offsetS]);
  const complete = own !== undefined && theirs !== undefined && other !== undefined;
  const named = ({ series, statistic }: Series) => ({ series, statistic });
  const choice = complete ? { own: named(own), otherFileId: other.sourceFileId, other: named(theirs) } : null;
  const estimate = useQuery(
    trpc.sourceFile.estimateOffset.queryOptions(
      {
        studyId,
        sourceFileId: clock.sourceFileId,
        ...(choice ?? {
          own: { series: "-", statistic: null },
          otherFileId: "-",
          other: { series: "-", statistic: null },
        }),
      },
      { enabled: choice !== null && asked === question, staleTime: 0 },
    ),
  );
  return (
    <>
      <div className={classes.fields}>
        <NativeSelect
          label="Series of this file"
          data={optionsOf(clock.series)}
          value={pair[0]}
          onChange={(event) => setPair([event.currentTarget.value, pair[1]])}
        />
        <NativeSelect
          label="Other file"
          data={clock.others.map(({ sourceFileId, name }) => ({ value: sourceFileId, label: name }))}
          value={otherId}
          onChange={(event) => {
            const id = event.currentTarget.value;
            setOtherId(id);
            setPair(
              firstPair(
                clock.series,
                clock.others.find(({ sourceFileId }) => sourceFileId === id)?.series ?? [],
              ),
            );
          }}
        />
        <NativeSelect
          label="Series of the other file"
          data={optionsOf(other?.series ?? [])}
          value={pair[1]}
          onChange={(event) => setPair([pair[0], event.currentTarget.value])}
        />
      </div>
      <div className={classes.row}>
        <Button disabled={!complete} loading={estimate.isFetching} onClick={() => setAsked(question)}>
          Estimate the offset
        </Button>
        <span className={classes.quiet}>Nothing is moved before you have looked at it.</span>
      </div>
      {asked === question && estimate.isFetching && (
        <LoadingState label="Comparing the two series" lines={2} />
      )}
      {asked === question && estimate.isError && (
        <QueryError error={estimate.error} what="the estimate" onRetry={() => estimate.refetch()} />
      )}
      {asked === question && estimate.isSuccess && !estimate.isFetching && choice !== null && (
        <EstimateShown
          estimate={estimate.data}
          names={[`${theirs?.label}, other file`, `${own?.label}, this file`]}
          pending={pending}
          onTake={(offsetS) => onPlace({ kind: "estimate", ...choice, offsetS })}
          onLeave={() => setAsked(null)}
        />
      )}
    </>
  );
}

interface EstimateShownProps {
  readonly estimate: Estimate;
  /** Short names of the other and the own line, for the legend. */
  readonly names: readonly [string, string];
  readonly pending: boolean;
  readonly onTake: (offsetS: number) => void;
  readonly onLeave: () => void;
}

function EstimateShown({ estimate, names, pending, onTake, onLeave }: EstimateShownProps) {
  const { agreement, lines, unit } = estimate;
  if (agreement.kind === "none") {
    return (
      <p role="status" className={classes.problem}>
        {agreement.reason}
      </p>
    );
  }
  const r = (value: number | null) => (value === null ? "not known: too little overlaps" : value.toFixed(2));
  const other = { id: "other", label: names[0], sign: seriesSign(0), ...lines.other };
  const before = { id: "before", label: names[1], sign: seriesSign(1), ...lines.before };
  const after =
    lines.after === null ? null : { id: "after", label: names[1], sign: seriesSign(1), ...lines.after };
  return (
    <div className={classes.words}>
      <dl className={classes.numbersList} aria-label="Estimate">
        <dt>Offset</dt>
        <dd className="numbers">
          {agreement.offsetS} s (moved by {agreement.shiftS > 0 && "+"}
          {agreement.shiftS} s)
        </dd>
        <dt>Correlation there</dt>
        <dd className="numbers">
          {r(agreement.correlation)} over {Math.round(agreement.overlapS)} s
        </dd>
        <dt>Correlation now</dt>
        <dd className="numbers">{r(agreement.correlationNow)}</dd>
        <dt>Next best place</dt>
        <dd className="numbers">{Math.round(agreement.ambiguity * 100)} % of the best</dd>
      </dl>
      {agreement.doubts.map((doubt) => (
        <p key={doubt} className={classes.doubt}>
          <DoubtSign />
          <span>{doubt}</span>
        </p>
      ))}
      <CourseFigure
        title="Both series, before and after"
        description={`${estimate.otherLabel} and ${estimate.ownLabel}, placed where they agree best. The dashed grey line shows where the second one lies now.`}
        fileName="offset-estimate"
        quantity={unit === "standard deviations" ? "Each less its mean, over its spread" : "Value"}
        unit={unit === "standard deviations" ? "SD" : unit}
        timeLabel="Time on the trial's clock"
        series={after === null ? [other] : [other, after]}
        behind={{ label: "where it lies now", series: [before] }}
        height={280}
      />
      <div className={classes.tools}>
        <Button variant="filled" loading={pending} onClick={() => onTake(agreement.offsetS)}>
          Take this estimate: place it at {agreement.offsetS} s
        </Button>
        <Button onClick={onLeave}>Leave it as it is</Button>
      </div>
    </div>
  );
}
