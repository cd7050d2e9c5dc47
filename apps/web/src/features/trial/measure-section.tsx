"use client";

import { useQuery } from "@tanstack/react-query";
import { Disclosure } from "@/components/disclosure";
import { LoadingState } from "@/components/loading-state";
import { Quantity } from "@/components/quantity";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import { Provenance } from "./provenance";
import classes from "./trial.module.css";
import { regionName, type Trial } from "./trial-words";

type Measures = Extract<Outputs["trial"]["measures"], { kind: "available" }>["measures"];
type Measure = Measures[number];

/** The measures that stand side by side; the rest of the catalogue is one step further. */
export const mainMeasures = [
  "baseline",
  "lowest point",
  "time of lowest point",
  "end of exercise",
  "change",
] as const;

const digitsOf = (unit: string) => (unit === "s" || unit === "°C·s" ? 0 : unit === "°C/s" ? 5 : 2);
const signed = (name: string) => /^(change|fall|rise|rate|area|left|forearm)/.test(name);

/** The numbers derived from the trial, region by region, with a reason where there is none. */
export function MeasureSection({ trial }: { readonly trial: Trial }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const measures = useQuery(trpc.trial.measures.queryOptions({ studyId, trialId: trial.trialId }));
  const heading = (
    <SectionHeading explanation="Times count from the start of the first exercise phase.">
      Measures
    </SectionHeading>
  );
  if (measures.isPending) {
    return (
      <section className={classes.section}>
        {heading}
        <LoadingState label="Computing the measures" />
      </section>
    );
  }
  if (measures.isError) {
    return (
      <section className={classes.section}>
        {heading}
        <QueryError error={measures.error} what="the measures" onRetry={() => measures.refetch()} />
      </section>
    );
  }
  const { data } = measures;
  return (
    <section className={classes.section}>
      {heading}
      {data.kind === "unavailable" ? (
        <p className={classes.quiet}>Not available yet. {data.reason}</p>
      ) : (
        <>
          <MainTable measures={data.measures} />
          <p className={`${classes.small} ${classes.quiet}`}>
            {data.stored
              ? "As stored when the trial was accepted."
              : "Computed from the trial as it stands; stored when it is accepted."}
          </p>
          <Disclosure summary={`All ${data.measures.length} measures`}>
            <AllMeasures measures={data.measures} />
          </Disclosure>
        </>
      )}
      <Provenance provenance={data.provenance} />
    </section>
  );
}

function regionsOf(measures: Measures): (string | null)[] {
  const regions = [...new Set(measures.map((measure) => measure.regionId))];
  return regions.sort((a, b) =>
    a === null ? -1 : b === null ? 1 : regionName(a).localeCompare(regionName(b)),
  );
}

function MainTable({ measures }: { readonly measures: Measures }) {
  const of = (regionId: string | null, name: string) =>
    measures.find((measure) => measure.regionId === regionId && measure.name === name);
  const regions = regionsOf(measures).filter((regionId) => of(regionId, "baseline") !== undefined);
  const reasons = [
    ...new Set(
      regions.flatMap((regionId) => mainMeasures.flatMap((name) => of(regionId, name)?.unavailable ?? [])),
    ),
  ];
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard */}
      <section className={classes.scroll} aria-label="Measures by region" tabIndex={0}>
        <table className={classes.table}>
          <thead>
            <tr>
              <th scope="col">Region</th>
              {mainMeasures.map((name) => (
                <th scope="col" key={name} data-align="right">
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {regions.map((regionId) => (
              <tr key={regionId ?? "body"}>
                <th scope="row">{regionName(regionId)}</th>
                {mainMeasures.map((name) => (
                  <td key={name} data-align="right">
                    <Value measure={of(regionId, name)} reasons={reasons} />
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      {reasons.length > 0 && (
        <ol className={classes.footnotes} aria-label="Why a measure is missing">
          {reasons.map((reason) => (
            <li key={reason}>{reason}</li>
          ))}
        </ol>
      )}
    </>
  );
}

interface ValueProps {
  readonly measure: Measure | undefined;
  readonly reasons: readonly string[];
}

function Value({ measure, reasons }: ValueProps) {
  if (measure === undefined) return <Quantity value={null} />;
  const { value, unit, unavailable } = measure;
  const note = unavailable === null ? -1 : reasons.indexOf(unavailable);
  return (
    <>
      <Quantity value={value} unit={unit} digits={digitsOf(unit)} signed={signed(measure.name)} />
      {note >= 0 && (
        <sup>
          <span className={classes.hidden}>, see note </span>
          {note + 1}
        </sup>
      )}
    </>
  );
}

function AllMeasures({ measures }: { readonly measures: Measures }) {
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard */}
      <section className={classes.scroll} aria-label="All measures" tabIndex={0}>
        <table className={classes.table}>
          <thead>
            <tr>
              <th scope="col">Region</th>
              <th scope="col">Measure</th>
              <th scope="col" data-align="right">
                Value
              </th>
              <th scope="col">Remark</th>
            </tr>
          </thead>
          <tbody>
            {regionsOf(measures).flatMap((regionId) =>
              measures
                .filter((measure) => measure.regionId === regionId)
                .map((measure) => (
                  <tr key={`${regionId} ${measure.name}`}>
                    <th scope="row">{regionName(regionId)}</th>
                    <td>{measure.name}</td>
                    <td data-align="right">
                      <Quantity
                        value={measure.value}
                        unit={measure.unit}
                        digits={digitsOf(measure.unit)}
                        signed={signed(measure.name)}
                      />
                    </td>
                    <td className={classes.quiet}>{measure.unavailable ?? measure.note ?? ""}</td>
                  </tr>
                )),
            )}
          </tbody>
        </table>
      </section>
    </>
  );
}
