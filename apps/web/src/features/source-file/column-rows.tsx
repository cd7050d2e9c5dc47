"use client";

import { formatNumber } from "@/components/quantity";
import type { Outputs } from "@/trpc/outputs";
import {
  type Choices,
  type ColumnMap,
  fittingUnit,
  type Proposal,
  withColumnUnit,
  withColumnUse,
  withSeries,
} from "./column-map";
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

/** Below this, a guess is marked as one. */
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
                    kind={map.layout === "long" ? "long column" : "column"}
                    use={column.use}
                    unit={column.unit}
                    choices={choices}
                    onUse={(use) => onChange(withColumnUse(map, column.index, use, choices))}
                    onUnit={(unit) => onChange(withColumnUnit(map, column.index, unit))}
                  />
                  <Doubts proposal={proposal} column={column.index} shown={map.layout === "wide"} />
                </td>
                <td className={classes.cells}>
                  {column.use.kind === "time" ? (
                    <Times preview={preview} />
                  ) : (
                    <ReadsAs preview={preview} column={column.index} name={null} />
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

/** Long layout: one row per series that the key columns name. */
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
            const name = series.key.join(" ");
            const guess = proposal.guesses.find((candidate) => candidate.key?.join(" ") === name);
            return (
              <tr key={name}>
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
                  {guess !== undefined && guess.confidence < sure && proposal.origin === "detected" && (
                    <Doubt>{guess.reason}</Doubt>
                  )}
                </td>
                <td className={classes.cells}>
                  <ReadsAs preview={preview} column={series.valueColumn} name={name} />
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

interface DoubtsProps {
  readonly proposal: Proposal;
  readonly column: number;
  readonly shown: boolean;
}

function Doubts({ proposal, column, shown }: DoubtsProps) {
  if (!shown || proposal.origin !== "detected") return null;
  const doubts = proposal.doubts.filter((doubt) => doubt.column === column).map((doubt) => doubt.reason);
  const guess = proposal.guesses.find((candidate) => candidate.column === column && candidate.key === null);
  const unsure = guess !== undefined && guess.confidence < sure && doubts.length === 0 ? [guess.reason] : [];
  return [...doubts, ...unsure].map((reason) => <Doubt key={reason}>{reason}</Doubt>);
}

function Doubt({ children }: { readonly children: string }) {
  return (
    <p className={classes.doubt}>
      <svg viewBox="0 0 12 12" width="12" height="12" aria-hidden="true">
        <path
          d="M6 .75 11.5 11H.5z"
          fill="none"
          stroke="currentColor"
          strokeWidth="1.5"
          strokeLinejoin="round"
        />
      </svg>
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
  /** Long layout: the series' name. */
  readonly name: string | null;
}

function ReadsAs({ preview, column, name }: ReadsAsProps) {
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
          line {line}: “{text}” is no number
        </p>
      ))}
    </>
  );
}
