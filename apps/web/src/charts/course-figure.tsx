"use client";

import { type ReactNode, useMemo } from "react";
import { courseTable, withinSpan } from "./course";
import { CourseChart, type CourseChartProps } from "./course-chart";
import { FigureFrame } from "./figure-frame";

interface CourseFigureProps extends CourseChartProps {
  readonly title: string;
  /** What the figure shows, for whoever cannot see it. */
  readonly description: string;
  /** Without ending. */
  readonly fileName: string;
  readonly note?: ReactNode;
  readonly actions?: ReactNode;
}

/** A course over time with everything a figure has: title, words, numbers, saving. */
export function CourseFigure({ title, description, fileName, note, actions, ...chart }: CourseFigureProps) {
  const { series, behind, span = null, unit, digits = 2 } = chart;
  const table = useMemo(() => {
    const compared = (behind?.series ?? []).map((one) => ({
      ...one,
      label: `${one.label}, ${behind?.label ?? ""}`,
    }));
    const shown = [...series, ...compared].map((one) => withinSpan(one, span));
    return courseTable(shown, unit, digits);
  }, [series, behind, span, unit, digits]);
  return (
    <FigureFrame
      title={title}
      description={description}
      fileName={fileName}
      table={table}
      note={note}
      actions={actions}
    >
      <CourseChart {...chart} />
    </FigureFrame>
  );
}
