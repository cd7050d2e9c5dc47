"use client";

import { Button } from "@mantine/core";
import { createContext, type ReactNode, useContext, useId, useRef, useState } from "react";
import { formatNumber } from "../components/quantity";
import { saveBlob } from "../components/save-blob";
import { useAttempt } from "../components/use-attempt";
import classes from "./figure-frame.module.css";
import { type FigureTable, figureTableAsCsv } from "./figure-table";
import { savePng, saveSvg, standaloneSvg } from "./save-figure";

interface FigureFrameProps {
  readonly title: string;
  /** What the figure shows, for whoever cannot see it: axes, series, and the main finding in numbers. */
  readonly description: string;
  /** Without ending: "volunteer-0007-trial-2-traces". */
  readonly fileName: string;
  readonly table: FigureTable;
  /** How the numbers came about: reduction for drawing, interval, n. */
  readonly note?: ReactNode;
  /** More buttons before those of the frame. */
  readonly actions?: ReactNode;
  /** The drawing: exactly one <svg> is saved, the first. */
  readonly children: ReactNode;
}

const overDrawing = createContext<HTMLElement | null>(null);

/**
 * The element that lies over the drawing, its origin the drawing's. A drawing is one picture to whoever cannot see it, and
 * nothing inside of a picture takes the focus: buttons that belong to places in it go here.
 */
export const useOverDrawing = (): HTMLElement | null => useContext(overDrawing);

/** What every figure has: a title, words for who cannot see it, its numbers, and a way to take it along. */
export function FigureFrame({
  title,
  description,
  fileName,
  table,
  note,
  actions,
  children,
}: FigureFrameProps) {
  const drawing = useRef<HTMLDivElement>(null);
  const [over, setOver] = useState<HTMLElement | null>(null);
  const [numbers, setNumbers] = useState(false);
  const { failure, attempt } = useAttempt();
  const titleId = useId();
  const tableId = useId();

  const svg = () => {
    const found = drawing.current?.querySelector("svg");
    if (!found) throw new Error("The figure is not drawn yet. Wait a moment and try again.");
    return standaloneSvg(found, title, description);
  };

  return (
    <figure className={classes.figure} aria-labelledby={titleId}>
      <div className={classes.head}>
        <figcaption id={titleId} className={classes.title}>
          {title}
        </figcaption>
        <div className={classes.actions} data-screen-only>
          {actions}
          <Button
            variant="subtle"
            size="compact-sm"
            aria-expanded={numbers}
            aria-controls={tableId}
            onClick={() => setNumbers(!numbers)}
          >
            {numbers ? "Hide numbers" : "Numbers"}
          </Button>
          <Button variant="subtle" size="compact-sm" onClick={() => attempt(() => saveSvg(svg(), fileName))}>
            Save SVG
          </Button>
          <Button variant="subtle" size="compact-sm" onClick={() => attempt(() => savePng(svg(), fileName))}>
            Save PNG
          </Button>
        </div>
      </div>
      {failure !== null && (
        <p role="alert" className={classes.failure}>
          {failure}
        </p>
      )}
      <div className={classes.stage}>
        <div ref={drawing} role="img" aria-label={description}>
          <overDrawing.Provider value={over}>{children}</overDrawing.Provider>
        </div>
        <div ref={setOver} className={classes.over} data-screen-only />
      </div>
      {note !== undefined && <div className={classes.note}>{note}</div>}
      <div id={tableId} hidden={!numbers}>
        {numbers && <Numbers table={table} title={title} fileName={fileName} />}
      </div>
    </figure>
  );
}

interface NumbersProps {
  readonly table: FigureTable;
  readonly title: string;
  readonly fileName: string;
}

function Numbers({ table, title, fileName }: NumbersProps) {
  return (
    <div className={classes.numbers}>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard */}
      <section className={classes.scroll} aria-label={`Numbers: ${title}`} tabIndex={0}>
        <table>
          <thead>
            <tr>
              {table.columns.map((column) => (
                <th key={column.label} scope="col">
                  {column.label}
                  {column.unit !== undefined && <span className={classes.unit}> {column.unit}</span>}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {table.rows.map((row, line) => (
              // The rows of one figure have no other name than their place.
              // biome-ignore lint/suspicious/noArrayIndexKey: they are never reordered
              <tr key={line}>
                {table.columns.map((column, index) => (
                  <Cell
                    key={column.label}
                    value={row[index] ?? null}
                    digits={column.digits ?? 2}
                    head={index === 0}
                  />
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <Button
        variant="subtle"
        size="compact-sm"
        onClick={() =>
          saveBlob(new Blob([figureTableAsCsv(table)], { type: "text/csv;charset=utf-8" }), `${fileName}.csv`)
        }
      >
        Save numbers as CSV
      </Button>
    </div>
  );
}

interface CellProps {
  readonly value: string | number | null;
  readonly digits: number;
  readonly head: boolean;
}

function Cell({ value, digits, head }: CellProps) {
  const text = typeof value === "number" ? formatNumber(value, digits) : (value ?? "–");
  const align = typeof value === "string" ? "left" : "right";
  return head ? (
    <th scope="row" data-align={align}>
      {text}
    </th>
  ) : (
    <td data-align={align}>{text}</td>
  );
}
