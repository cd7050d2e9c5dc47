"use client";

import { type PointerEvent, useState } from "react";
import { formatNumber } from "../components/quantity";
import { type CourseSeries, nearest } from "./course";
import type { Geometry } from "./plot";
import classes from "./plot.module.css";
import { spreadLabels, textWidth } from "./spread-labels";
import { formatTime, type TimeUnit } from "./ticks";

interface CourseCrosshairProps {
  readonly series: readonly CourseSeries[];
  readonly geometry: Geometry;
  readonly from: number;
  readonly to: number;
  readonly digits: number;
  readonly unit: string;
  readonly timeUnit: TimeUnit;
  readonly onPickTime?: (seconds: number) => void;
}

/** Reads values off the lines under the pointer. The same numbers are in the figure's table. */
export function CourseCrosshair({
  series,
  geometry,
  from,
  to,
  digits,
  unit,
  timeUnit,
  onPickTime,
}: CourseCrosshairProps) {
  const [atS, setAtS] = useState<number | null>(null);
  const { left, top, width, height } = geometry;

  const moment = (event: PointerEvent<SVGRectElement>) => {
    const box = event.currentTarget.getBoundingClientRect();
    const share = Math.min(1, Math.max(0, (event.clientX - box.left) / box.width));
    return from + share * (to - from);
  };

  return (
    <g data-screen-only>
      {atS !== null && <Reading {...{ series, geometry, from, to, digits, unit, timeUnit, atS }} />}
      <rect
        x={left}
        y={top}
        width={width}
        height={height}
        fill="transparent"
        {...(onPickTime === undefined ? {} : { className: classes.pick })}
        onPointerMove={(event) => setAtS(moment(event))}
        onPointerLeave={() => setAtS(null)}
        onPointerUp={(event) => onPickTime?.(moment(event))}
      />
    </g>
  );
}

interface ReadingProps extends Omit<CourseCrosshairProps, "onPickTime"> {
  readonly atS: number;
}

function Reading({ series, geometry, from, to, digits, unit, timeUnit, atS }: ReadingProps) {
  const x = geometry.x(atS);
  const reach = ((to - from) / geometry.width) * 8;
  const read = series.flatMap((one) => {
    const value = nearest(one, atS, Math.max(reach, 0.5));
    return value === null ? [] : [{ item: { series: one, value }, at: geometry.y(value) }];
  });
  const placed = spreadLabels(read, 17, geometry.top + 8, geometry.top + geometry.height - 8);
  const words = read.map(({ item }) => `${formatNumber(item.value, digits)} ${unit}`);
  const widest = Math.max(0, ...words.map(textWidth));
  const leftwards = x + widest + 24 > geometry.left + geometry.width;
  const time = `${formatTime(atS, timeUnit, timeUnit === "min" ? 1 : 0)} ${timeUnit}`;
  const half = textWidth(time) / 2 + 4;
  const timeX = Math.min(geometry.left + geometry.width - half, Math.max(geometry.left + half, x));
  const halo = {
    stroke: "var(--chart-surface)",
    strokeWidth: 4,
    strokeLinejoin: "round" as const,
    paintOrder: "stroke",
  };
  return (
    <g pointerEvents="none">
      <path d={`M${x} ${geometry.top}v${geometry.height}`} stroke="var(--chart-mark)" strokeWidth={1} />
      {read.map(({ item, at }) => (
        <circle key={item.series.id} cx={x} cy={at} r={3.5} fill={item.series.sign.colour} />
      ))}
      {placed.map(({ item, y }) => (
        <text
          key={item.series.id}
          x={leftwards ? x - 9 : x + 9}
          y={y + 4.5}
          textAnchor={leftwards ? "end" : "start"}
          fontSize={13}
          fontWeight={500}
          fill="var(--chart-ink)"
          {...halo}
        >
          {formatNumber(item.value, digits)} {unit}
        </text>
      ))}
      <rect
        x={timeX - half}
        y={geometry.top + geometry.height + 5}
        width={2 * half}
        height={20}
        fill="var(--chart-surface)"
      />
      <text
        x={timeX}
        y={geometry.top + geometry.height + 20}
        textAnchor="middle"
        fontSize={13}
        fontWeight={500}
        fill="var(--chart-ink)"
      >
        {time}
      </text>
    </g>
  );
}
