"use client";

import { keepPreviousData, useQuery } from "@tanstack/react-query";
import { Disclosure } from "@/components/disclosure";
import { LoadingState } from "@/components/loading-state";
import { Quantity } from "@/components/quantity";
import { type BadgeShape, StateBadge } from "@/components/state-badge";
import { useStudy } from "@/features/study/study-context";
import { mainMeasures } from "@/features/trial/measure-section";
import { regionName } from "@/features/trial/trial-words";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import classes from "./quality.module.css";

type Summary = Outputs["quality"]["summary"];

/** One line: do the conclusions survive the adjustments? And the measures with and without them, side by side. */
export function QualityVerdict({ trialId }: { readonly trialId: string }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const summary = useQuery(
    trpc.quality.summary.queryOptions({ studyId, trialId }, { placeholderData: keepPreviousData }),
  );
  if (summary.isPending) return <LoadingState label="Comparing with and without adjustments" lines={2} />;
  if (summary.isError) {
    return (
      <QueryError
        error={summary.error}
        what="whether the conclusions survive"
        onRetry={() => summary.refetch()}
      />
    );
  }
  const { verdict, survives, adjustments, measures } = summary.data;
  return (
    <>
      <p className={classes.verdict}>
        <StateBadge shape={shapes[survives]}>{verdict}</StateBadge>
      </p>
      {adjustments > 0 && measures.length > 0 && (
        <Disclosure summary="Measures with and without adjustments">
          <SideBySide measures={measures} />
        </Disclosure>
      )}
    </>
  );
}

const shapes: Readonly<Record<Summary["survives"], BadgeShape>> = {
  unknown: "open",
  "nothing adjusted": "open",
  same: "tick",
  "levels only": "half",
  "rest on adjustments": "alert",
};

const digitsOf = (unit: string) => (unit === "s" || unit === "°C·s" ? 0 : unit === "°C/s" ? 5 : 2);

/** A difference that can be seen in the digits shown, or a measure that is there only one way. */
function differs({ unit, withAdjustments: a, asRecorded: b }: Summary["measures"][number]): boolean {
  if (a === null || b === null) return a !== b;
  const digits = digitsOf(unit);
  return a.toFixed(digits) !== b.toFixed(digits);
}

/** The measures that adjustments change, the main ones first; those that stay are counted. */
function SideBySide({ measures: all }: { readonly measures: Summary["measures"] }) {
  const changed = all.filter(differs);
  const same = all.length - changed.length;
  const rest = `${same} of ${all.length} measures are the same in every digit shown.`;
  // What is there only one way is what a verdict rests on: it never stands back.
  const first = changed.filter(
    ({ name, withAdjustments, asRecorded }) =>
      withAdjustments === null || asRecorded === null || mainMeasures.some((main) => main === name),
  );
  return (
    <>
      {same > 0 && <p className={classes.quiet}>{rest}</p>}
      {first.length > 0 && <Table measures={first} label="Measures with and without adjustments" />}
      {changed.length > first.length && (
        <Disclosure summary={`All ${changed.length} measures that differ`}>
          <Table measures={changed} label="All measures that differ" />
        </Disclosure>
      )}
    </>
  );
}

interface TableProps {
  readonly measures: Summary["measures"];
  readonly label: string;
}

function Table({ measures, label }: TableProps) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard
    <section className={classes.scroll} aria-label={label} tabIndex={0}>
      <table className={classes.table}>
        <thead>
          <tr>
            <th scope="col">Region</th>
            <th scope="col">Measure</th>
            <th scope="col" data-align="right">
              With adjustments
            </th>
            <th scope="col" data-align="right">
              As recorded
            </th>
            <th scope="col" data-align="right">
              Difference
            </th>
          </tr>
        </thead>
        <tbody>
          {measures.map(({ name, regionId, unit, withAdjustments, asRecorded, difference }) => {
            const digits = digitsOf(unit);
            return (
              <tr key={`${regionId} ${name}`}>
                <th scope="row">{regionName(regionId)}</th>
                <td>{name}</td>
                <td data-align="right">
                  <Quantity value={withAdjustments} unit={unit} digits={digits} />
                </td>
                <td data-align="right">
                  <Quantity value={asRecorded} unit={unit} digits={digits} />
                </td>
                <td data-align="right">
                  <Quantity value={difference} unit={unit} digits={digits} signed />
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}
