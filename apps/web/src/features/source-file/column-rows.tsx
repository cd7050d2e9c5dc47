"use client";

import { formatNumber } from "@/components/quantity";
import type { Outputs } from "@/trpc/outputs";
import {
  type Choices,
  type ColumnMap,
  type ColumnUse,
  fittingUnit,
  type Proposal,
  placeIn,
  seriesName,
  withColumnUnit,
  withColumnUse,
  withSeries,
} from "./column-map";
import { DoubtSign } from "./doubt-sign";
import classes from "./source-file.module.css";
import { UseFields } from "./use-fields";

type Preview = Outputs["sourceFile"]["preview"];

interface RowsProps {
  readonly map: ColumnMap;
  readonly choices: Choices;
  readonly proposal: Proposal;
  readonly preview: Preview | undefined;
  readonly onChange: (map: ColumnMap) => void;
}

/** What a column can be: where series are named by keys or by blocks, a column alone is none. */
const columnKinds = { wide: "column", long: "long column", blocks: "block column" } as const;

/** Below this, a guess is marked as doubtful. */
const sure = 0.75;

/** One row per column of the file: its name, what stands in it, what it is, and what it reads as. */
export function ColumnRows({ map, choices, proposal, preview, onChange }: RowsProps) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard
    <section className={classes.scroll} aria-label="Columns of the file" tabIndex={0}>
      <table className={`${classes.table} ${classes.cards}`}>
        <thead>
          <tr>
            <th scope="col">Column</th>
            <th scope="col">In the file</th>
            <th scope="col">Use, region or channel, statistic, unit</th>
            <th scope="col">Reads as</th>
          </tr>
        </thead>
        <tbody>
          {map.columns.map((column) => {
            const name = column.name === "" ? `column ${column.index + 1}` : column.name;
            const cells = proposal.preview.rows.slice(0, 3).map((row) => row.cells[column.index] ?? "");
            return (
              <tr key={column.index}>
                <th scope="row">
                  <span className={classes.quiet}>{column.index + 1}</span> {name}
                </th>
                <td className={classes.cells}>{cells.join(" · ")}</td>
                <td>
                  <UseFields
                    of={`column ${column.index + 1}, ${name}`}
                    kind={columnKinds[map.layout]}
                    use={column.use}
                    unit={column.unit}
                    choices={choices}
                    onUse={(use) => onChange(withColumnUse(map, column.index, use, choices))}
                    onUnit={(unit) => onChange(withColumnUnit(map, column.index, unit))}
                  />
                  {map.layout === "wide" && (
                    <Sureness
                      guess={proposal.guesses.find(
                        (guess) => guess.column === column.index && guess.key === null,
                      )}
                      proposal={proposal}
                      use={column.use}
                      doubts={proposal.doubts.filter((doubt) => doubt.column === column.index)}
                    />
                  )}
                </td>
                <td className={classes.cells}>
                  {column.use.kind === "time" ? (
                    <Times preview={preview} />
                  ) : (
                    map.layout === "wide" && (
                      <ReadsAs preview={preview} column={column.index} name={null} place={placeIn(map)} />
                    )
                  )}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

/** One row per series that key columns, or the titles and names of blocks, make. */
export function SeriesRows({ map, choices, proposal, preview, onChange }: RowsProps) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard
    <section className={classes.scroll} aria-label="Series of the file" tabIndex={0}>
      <table className={`${classes.table} ${classes.cards}`}>
        <thead>
          <tr>
            <th scope="col">Series</th>
            <th scope="col">Use, region or channel, statistic, unit</th>
            <th scope="col">Reads as</th>
          </tr>
        </thead>
        <tbody>
          {map.series.map((series, index) => {
            const key = series.key.join(" ");
            const name = seriesName(map, series);
            const guess = proposal.guesses.find(
              (candidate) => candidate.column === series.valueColumn && candidate.key?.join(" ") === key,
            );
            return (
              <tr key={`${series.valueColumn} ${key}`}>
                <th scope="row">{name}</th>
                <td>
                  <UseFields
                    of={`series ${name}`}
                    kind="series"
                    use={series.use}
                    unit={series.unit}
                    choices={choices}
                    onUse={(use) => {
                      if (use.kind === "time" || use.kind === "key" || use.kind === "value") return;
                      onChange(withSeries(map, index, { use, unit: fittingUnit(use, series.unit, choices) }));
                    }}
                    onUnit={(unit) => onChange(withSeries(map, index, { unit }))}
                  />
                  <Sureness guess={guess} proposal={proposal} use={series.use} doubts={[]} />
                </td>
                <td className={classes.cells}>
                  <ReadsAs
                    preview={preview}
                    column={series.valueColumn}
                    name={key.trim()}
                    place={placeIn(map)}
                  />
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

interface SurenessProps {
  readonly guess: Proposal["guesses"][number] | undefined;
  readonly proposal: Proposal;
  readonly use: ColumnUse;
  readonly doubts: Proposal["doubts"];
}

/** How sure the guess of a column is, said in words and a number; a doubtful one with a sign and its reason. */
function Sureness({ guess, proposal, use, doubts }: SurenessProps) {
  // What somebody decided, for this file or for its layout, is no guess any more.
  if (proposal.origin !== "detected") return null;
  if (guess === undefined) return doubts.map(({ reason }) => <Doubt key={reason}>{reason}</Doubt>);
  if (!sameUse(guess.use, use)) return <p className={classes.sureness}>Chosen by you.</p>;
  const percent = Math.round(guess.confidence * 100);
  const doubtful = guess.confidence < sure || doubts.length > 0;
  const reasons = doubts.length > 0 ? doubts.map(({ reason }) => reason) : [guess.reason];
  if (!doubtful) {
    return (
      <p className={classes.sureness}>
        Guess: sure, <span className="numbers">{percent} %</span>
      </p>
    );
  }
  return (
    <>
      <p className={classes.sureness}>
        <DoubtSign />
        <strong>
          Guess: doubtful, <span className="numbers">{percent} %</span>
        </strong>
      </p>
      {reasons.map((reason) => (
        <p key={reason} className={classes.doubt}>
          {reason}
        </p>
      ))}
    </>
  );
}

function sameUse(guess: ColumnUse, use: ColumnUse): boolean {
  if (guess.kind === "region" && use.kind === "region") {
    return guess.regionId === use.regionId && guess.statistic === use.statistic;
  }
  if (guess.kind === "channel" && use.kind === "channel") return guess.channel === use.channel;
  return guess.kind === use.kind;
}

function Doubt({ children }: { readonly children: string }) {
  return (
    <p className={classes.doubt}>
      <DoubtSign />
      <span>{children}</span>
    </p>
  );
}

function Times({ preview }: { readonly preview: Preview | undefined }) {
  if (preview === undefined || preview.timesS.length === 0) return null;
  return preview.timesS
    .slice(0, 3)
    .map((time) => `${Math.round(time * 1000) / 1000} s`)
    .join(" · ");
}

interface ReadsAsProps {
  readonly preview: Preview | undefined;
  readonly column: number;
  /** The key of the series; null for a column of its own. */
  readonly name: string | null;
  readonly place: "line" | "row";
}

function ReadsAs({ preview, column, name, place }: ReadsAsProps) {
  const trace = preview?.traces.find(
    (candidate) => candidate.column === column && (name === null || candidate.name === name),
  );
  if (trace === undefined) return null;
  const values = trace.values
    .slice(0, 3)
    .map((value) => (value === null ? "missing" : formatNumber(value, 2)));
  return (
    <>
      {values.join(" · ")} {trace.unit}
      {trace.unreadable.map(({ line, text }) => (
        <p key={line} className={classes.doubt}>
          {place} {line}: “{text}” is no number
        </p>
      ))}
    </>
  );
}
