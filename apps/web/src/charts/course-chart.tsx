"use client";

import { useMemo } from "react";
import { type CourseMark, type CoursePhase, type CourseSeries, checkSeries, extent } from "./course";
import { CourseCrosshair } from "./course-crosshair";
import { DirectLabels, KeyRows, keyLayout, labelsFit, labelsWidth } from "./course-labels";
import { Band, Line } from "./course-lines";
import { PhaseBands, PhaseNames } from "./course-phases";
import { Plot } from "./plot";
import { formatTime, type TimeUnit, timeTicks, timeUnitFor, valueTicks } from "./ticks";

export interface CourseChartProps {
  readonly series: readonly CourseSeries[];
  /** What is measured: "Skin temperature". */
  readonly quantity: string;
  readonly unit: string;
  /** What time counts from: "Time from start of exercise". */
  readonly timeLabel?: string;
  readonly timeUnit?: TimeUnit;
  readonly phases?: readonly CoursePhase[];
  readonly marks?: readonly CourseMark[];
  /** Digits of the values that are read off. Default 2. */
  readonly digits?: number;
  readonly height?: number;
  /** Limits of the value axis; without them the data decide. */
  readonly range?: readonly [number, number];
  /** A horizontal line to compare with, such as zero in a figure of differences. */
  readonly reference?: number;
  /** Called with a moment in seconds when somebody points at it. Offer a field for the same. */
  readonly onPickTime?: (seconds: number) => void;
}

const phaseHeight = 22;

/** Lines over time with their bands, phases and names. Wrap it in a FigureFrame, or use CourseFigure. */
export function CourseChart({
  series,
  quantity,
  unit,
  timeLabel = "Time",
  timeUnit,
  phases = [],
  marks = [],
  digits = 2,
  height = 340,
  range,
  reference,
  onPickTime,
}: CourseChartProps) {
  const axes = useMemo(() => {
    for (const one of series) checkSeries(one);
    const times = extent(series.map((one) => one.timesS)) ??
      extent([phases.flatMap((phase) => [phase.startS, phase.endS])]) ?? [0, 60];
    const [from, to] = times[1] > times[0] ? times : [times[0] - 30, times[0] + 30];
    const values = extent([
      ...series.flatMap((one) => [one.values, one.low, one.high]),
      reference === undefined ? undefined : [reference],
    ]) ?? [0, 1];
    const y = valueTicks(range?.[0] ?? values[0], range?.[1] ?? values[1]);
    return { from, to, y };
  }, [series, phases, range, reference]);

  const shownUnit = timeUnit ?? timeUnitFor(axes.from, axes.to);
  const low = axes.y.values[0] ?? 0;
  const high = axes.y.values.at(-1) ?? 1;
  const topOfNames = phases.length > 0 ? phaseHeight : 6;

  return (
    <Plot
      height={height}
      x={{
        domain: [axes.from, axes.to],
        ticks: timeTicks(axes.from, axes.to).values,
        format: (seconds) => formatTime(seconds, shownUnit),
        label: `${timeLabel}, ${shownUnit}`,
      }}
      y={{
        domain: [low, high],
        ticks: axes.y.values,
        format: (value) => formatTick(value, axes.y.digits),
        label: unit === "" ? quantity : `${quantity}, ${unit}`,
      }}
      margin={(width) =>
        labelsFit(series, width)
          ? { top: topOfNames, right: labelsWidth(series) }
          : { top: topOfNames + keyLayout(series, width).height, right: 12 }
      }
      under={(geometry) => <PhaseBands phases={phases} geometry={geometry} />}
      over={(geometry, width) => (
        <>
          <PhaseNames phases={phases} geometry={geometry} />
          {reference !== undefined && (
            <path
              d={`M${geometry.left} ${geometry.y(reference)}h${geometry.width}`}
              stroke="var(--chart-mark)"
              strokeWidth={1}
            />
          )}
          {marks.map((mark) => (
            <g key={`${mark.label} ${mark.atS}`}>
              <path
                d={`M${geometry.x(mark.atS)} ${geometry.top}v${geometry.height}`}
                stroke="var(--chart-mark)"
                strokeDasharray="2 2"
              />
              <text
                x={geometry.x(mark.atS) + 4}
                y={geometry.top + geometry.height - 6}
                fontSize={12}
                fill="var(--chart-quiet-ink)"
              >
                {mark.label}
              </text>
            </g>
          ))}
          {series.map((one) => (
            <Band key={one.id} series={one} geometry={geometry} />
          ))}
          {series.map((one) => (
            <Line key={one.id} series={one} geometry={geometry} />
          ))}
          {labelsFit(series, width) ? (
            <DirectLabels series={series} geometry={geometry} />
          ) : (
            <KeyRows series={series} geometry={geometry} width={width} above={topOfNames} />
          )}
          <CourseCrosshair
            series={series}
            geometry={geometry}
            from={axes.from}
            to={axes.to}
            digits={digits}
            unit={unit}
            timeUnit={shownUnit}
            {...(onPickTime === undefined ? {} : { onPickTime })}
          />
        </>
      )}
    />
  );
}

export function formatTick(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}
