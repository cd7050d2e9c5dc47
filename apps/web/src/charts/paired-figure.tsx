"use client";

import { type ReactNode, useMemo } from "react";
import { DifferencesChart } from "./differences-chart";
import { FigureFrame } from "./figure-frame";
import { type MeanDifference, pairedTable } from "./paired";
import { PairedChart, type PairedChartProps } from "./paired-chart";

interface PairedFigureProps extends PairedChartProps {
  readonly title: string;
  /** What the figure shows, for whoever cannot see it. */
  readonly description: string;
  /** Without ending. */
  readonly fileName: string;
  readonly note?: ReactNode;
}

/** Both conditions per volunteer, with everything a figure has. */
export function PairedFigure({ title, description, fileName, note, ...chart }: PairedFigureProps) {
  const { pairs, conditions, unit, digits = 2 } = chart;
  const table = useMemo(
    () => pairedTable(pairs, conditions, unit, digits),
    [pairs, conditions, unit, digits],
  );
  return (
    <FigureFrame title={title} description={description} fileName={fileName} table={table} note={note}>
      <PairedChart {...chart} />
    </FigureFrame>
  );
}

interface DifferencesFigureProps extends Omit<PairedFigureProps, "quantity"> {
  readonly mean?: MeanDifference;
}

/** The difference per volunteer, with everything a figure has. */
export function DifferencesFigure({
  title,
  description,
  fileName,
  note,
  pairs,
  conditions,
  unit,
  digits = 2,
  height,
  mean,
}: DifferencesFigureProps) {
  const table = useMemo(
    () => pairedTable(pairs, conditions, unit, digits),
    [pairs, conditions, unit, digits],
  );
  return (
    <FigureFrame title={title} description={description} fileName={fileName} table={table} note={note}>
      <DifferencesChart
        pairs={pairs}
        differenceLabel={`${conditions[1].label} − ${conditions[0].label}`}
        unit={unit}
        digits={digits}
        {...(height === undefined ? {} : { height })}
        {...(mean === undefined ? {} : { mean })}
      />
    </FigureFrame>
  );
}
