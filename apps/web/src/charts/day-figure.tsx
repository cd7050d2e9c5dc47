"use client";

import { type ReactNode, useMemo } from "react";
import { DayChart, type DayChartProps } from "./day-chart";
import { dayTable } from "./days";
import { FigureFrame } from "./figure-frame";

interface DayFigureProps extends DayChartProps {
  readonly title: string;
  /** What the figure shows, for whoever cannot see it. */
  readonly description: string;
  /** Without ending. */
  readonly fileName: string;
  readonly note?: ReactNode;
  readonly actions?: ReactNode;
}

/** A value per recording over the days of recording, with everything a figure has. */
export function DayFigure({ title, description, fileName, note, actions, ...chart }: DayFigureProps) {
  const { points, groups, quantity, unit, digits = 2 } = chart;
  const table = useMemo(
    () => dayTable(points, groups, quantity, unit, digits),
    [points, groups, quantity, unit, digits],
  );
  return (
    <FigureFrame
      title={title}
      description={description}
      fileName={fileName}
      table={table}
      note={note}
      actions={actions}
    >
      <DayChart {...chart} />
    </FigureFrame>
  );
}
