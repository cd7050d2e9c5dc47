"use client";

import { useId, useMemo } from "react";
import { ink } from "./chart-colours";
import {
  type CourseInterval,
  type CourseMark,
  type CoursePhase,
  type CourseSeries,
  checkSeries,
  extent,
  type TimeSpan,
  withinSpan,
} from "./course";
import { CourseCrosshair } from "./course-crosshair";
import { Highlight, IntervalMarks } from "./course-intervals";
import { DirectLabels, KeyRows, keyLayout, labelsFit, labelsWidth } from "./course-labels";
import { Band, Line } from "./course-lines";
import { PhaseBands, PhaseNames } from "./course-phases";
import { intervalLanes, laneHeight } from "./interval-lanes";
import { Plot, plotEdges } from "./plot";
import type { SeriesSign } from "./series-sign";
import { formatTime, type TimeUnit, timeTicks, timeUnitFor, valueTicks } from "./ticks";

export interface CourseChartProps {
  readonly series: readonly CourseSeries[];
  /** Lines to compare with, thin and dashed in grey behind the others, under one name. */
  readonly behind?: { readonly label: string; readonly series: readonly CourseSeries[] };
  /** What is measured: "Skin temperature". */
  readonly quantity: string;
  readonly unit: string;
  /** What time counts from: "Time from start of exercise". */
  readonly timeLabel?: string;
  readonly timeUnit?: TimeUnit;
  readonly phases?: readonly CoursePhase[];
  readonly marks?: readonly CourseMark[];
  /** Numbered stretches of time above the plotting area. */
  readonly intervals?: readonly CourseInterval[];
  readonly chosenInterval?: string | null;
  readonly onChooseInterval?: (id: string) => void;
  /** A stretch of time that is marked in the plotting area. */
  readonly highlight?: TimeSpan | null;
  /** The part of time that is shown; without it, all. */
  readonly span?: TimeSpan | null;
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
const none: readonly CourseInterval[] = [];
const behindSign: SeriesSign = { colour: ink("--chart-member"), dash: "4 3", shape: "circle" };

/** Lines over time with their bands, phases and names. Wrap it in a FigureFrame, or use CourseFigure. */
export function CourseChart({
  series: whole,
  behind: wholeBehind,
  quantity,
  unit,
  timeLabel = "Time",
  timeUnit,
  phases = [],
  marks = [],
  intervals = none,
  chosenInterval = null,
  onChooseInterval,
  highlight = null,
  span = null,
  digits = 2,
  height = 340,
  range,
  reference,
  onPickTime,
}: CourseChartProps) {
  const clipId = useId().replaceAll(/\W/g, "");
  const spanFrom = span?.fromS;
  const spanTo = span?.toS;
  const { series, behind, named } = useMemo(() => {
    const shown = spanFrom === undefined || spanTo === undefined ? null : { fromS: spanFrom, toS: spanTo };
    const front = whole.map((one) => withinSpan(one, shown));
    const back = (wholeBehind?.series ?? []).map((one) => withinSpan({ ...one, sign: behindSign }, shown));
    const first = back[0];
    const name =
      first === undefined || wholeBehind === undefined
        ? []
        : [{ ...first, id: `behind ${first.id}`, label: wholeBehind.label }];
    return { series: front, behind: back, named: [...front, ...name] };
  }, [whole, wholeBehind, spanFrom, spanTo]);
  const axes = useMemo(() => {
    for (const one of [...series, ...behind]) checkSeries(one);
    const times = extent([...series, ...behind].map((one) => one.timesS)) ??
      extent([phases.flatMap((phase) => [phase.startS, phase.endS])]) ?? [0, 60];
    const [first, last] = times[1] > times[0] ? times : [times[0] - 30, times[0] + 30];
    const from = spanFrom ?? first;
    const to = spanTo ?? last;
    const values = extent([
      ...series.flatMap((one) => [one.values, one.low, one.high]),
      ...behind.map((one) => one.values),
      reference === undefined ? undefined : [reference],
    ]) ?? [0, 1];
    const y = valueTicks(range?.[0] ?? values[0], range?.[1] ?? values[1]);
    return { from, to, y };
  }, [series, behind, phases, range, reference, spanFrom, spanTo]);

  const shownUnit = timeUnit ?? timeUnitFor(axes.from, axes.to);
  const low = axes.y.values[0] ?? 0;
  const high = axes.y.values.at(-1) ?? 1;
  const y = {
    domain: [low, high],
    ticks: axes.y.values,
    format: (value: number) => formatTick(value, axes.y.digits),
    label: unit === "" ? quantity : `${quantity}, ${unit}`,
  } as const;
  const right = (width: number) => (labelsFit(named, width) ? labelsWidth(named) : 12);
  /** Where the marks stand is known before anything is drawn, because they decide how much room they need. */
  const lanesAt = (width: number) => {
    const edges = plotEdges(width, y, right(width));
    const x = (seconds: number) =>
      edges.left + ((seconds - axes.from) / (axes.to - axes.from)) * (edges.right - edges.left);
    return intervalLanes(intervals, { x, ...edges });
  };
  const liftAt = (width: number) => {
    const { lanes } = lanesAt(width);
    return lanes === 0 ? 0 : lanes * laneHeight + 4;
  };
  const topOfNames = (width: number) => (phases.length > 0 ? phaseHeight : 6) + liftAt(width);
  const clipped = span === null ? {} : { clipPath: `url(#${clipId})` };

  return (
    <Plot
      height={(width) => height + liftAt(width)}
      x={{
        domain: [axes.from, axes.to],
        ticks: timeTicks(axes.from, axes.to).values,
        format: (seconds) => formatTime(seconds, shownUnit),
        label: `${timeLabel}, ${shownUnit}`,
      }}
      y={y}
      margin={(width) => ({
        top: topOfNames(width) + (labelsFit(named, width) ? 0 : keyLayout(named, width).height),
        right: right(width),
      })}
      under={(geometry, width) => <PhaseBands phases={phases} geometry={geometry} lift={liftAt(width)} />}
      over={(geometry, width) => (
        <>
          <PhaseNames phases={phases} geometry={geometry} lift={liftAt(width)} />
          {span !== null && (
            <clipPath id={clipId}>
              <rect
                x={geometry.left}
                y={geometry.top - 2}
                width={geometry.width}
                height={geometry.height + 4}
              />
            </clipPath>
          )}
          {highlight !== null && <Highlight span={highlight} geometry={geometry} />}
          {reference !== undefined && (
            <path
              d={`M${geometry.left} ${geometry.y(reference)}h${geometry.width}`}
              stroke="var(--chart-mark)"
              strokeWidth={1}
            />
          )}
          {marks
            .filter(({ atS }) => atS >= axes.from && atS <= axes.to)
            .map((mark) => (
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
          <g {...clipped}>
            {series.map((one) => (
              <Band key={one.id} series={one} geometry={geometry} />
            ))}
            {behind.map((one) => (
              <Line key={one.id} series={one} geometry={geometry} thin />
            ))}
            {series.map((one) => (
              <Line key={one.id} series={one} geometry={geometry} />
            ))}
          </g>
          {labelsFit(named, width) ? (
            <DirectLabels series={named} geometry={geometry} />
          ) : (
            <KeyRows series={named} geometry={geometry} width={width} above={topOfNames(width)} />
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
          <IntervalMarks
            {...lanesAt(width)}
            geometry={geometry}
            chosen={chosenInterval}
            {...(onChooseInterval === undefined ? {} : { onChoose: onChooseInterval })}
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
