"use client";

import { useState } from "react";
import { formatNumber } from "../components/quantity";
import { extent } from "./course";
import { formatTick } from "./course-chart";
import { type DayGroup, type DayPoint, placeByDay } from "./days";
import { Plot } from "./plot";
import { PointMark } from "./point-mark";
import { textWidth } from "./spread-labels";
import { valueTicks } from "./ticks";

export interface DayChartProps {
  readonly points: readonly DayPoint[];
  readonly groups: readonly DayGroup[];
  /** What is shown per recording: "Height of steps". */
  readonly quantity: string;
  readonly unit: string;
  readonly digits?: number;
  readonly height?: number;
}

const rowHeight = 18;
const markWidth = 18;
const mostMedianWidth = 60;

function keyOf(groups: readonly DayGroup[], width: number) {
  let x = 8;
  let row = 0;
  const places = groups.map((group) => {
    const wide = markWidth + 1.2 * textWidth(group.label);
    if (x > 8 && x + wide > width) {
      x = 8;
      row += 1;
    }
    const place = { group, x, row };
    x += wide + 16;
    return place;
  });
  return { places, height: groups.length < 2 ? 0 : (row + 1) * rowHeight + 6 };
}

/** One point per recording over the days of recording, against zero, with a short line at the median of each day that has several. */
export function DayChart({ points, groups, quantity, unit, digits = 2, height = 300 }: DayChartProps) {
  const [chosen, setChosen] = useState<string | null>(null);
  const { points: placed, days } = placeByDay(points);
  const limits = extent([placed.map(({ value }) => value), [0]]) ?? [0, 1];
  const ticks = valueTicks(limits[0], limits[1]);
  const signs = new Map(groups.map((group) => [group.id, group.sign]));
  const last = Math.max(0, days.length - 1);
  return (
    <Plot
      height={(width) => height + keyOf(groups, width).height}
      x={{
        domain: [-0.6, last + 0.6],
        ticks: days.map(({ x }) => x),
        format: (x) => days[x]?.day ?? "",
        // Days are wider than they are measured: their digits are all as wide as the widest.
        gap: 32,
        label: "Days with a recording",
      }}
      y={{
        domain: [ticks.values[0] ?? 0, ticks.values.at(-1) ?? 1],
        ticks: ticks.values,
        format: (value) => formatTick(value, ticks.digits),
        label: unit === "" ? quantity : `${quantity}, ${unit}`,
      }}
      margin={(width) => ({ top: 6 + keyOf(groups, width).height, right: 12 })}
      over={(geometry, width) => {
        const key = keyOf(groups, width);
        const found = placed.find(({ id }) => id === chosen);
        return (
          <>
            {groups.length > 1 &&
              key.places.map(({ group, x, row }) => {
                const y = geometry.top - 6 - key.height + row * rowHeight + rowHeight / 2;
                return (
                  <g key={group.id}>
                    <PointMark shape={group.sign.shape} colour={group.sign.colour} x={x} y={y} />
                    <text x={x + 10} y={y + 4.5} fontSize={13} fill="var(--chart-ink)">
                      {group.label}
                    </text>
                  </g>
                );
              })}
            <path
              d={`M${geometry.left} ${geometry.y(0)}h${geometry.width}`}
              stroke="var(--chart-ink)"
              strokeWidth={1.25}
            />
            {days.map(({ day, x, count, median }) => {
              const half = Math.min(mostMedianWidth, geometry.x(0.42) - geometry.x(0));
              return count < 2 ? null : (
                <path
                  key={day}
                  d={`M${geometry.x(x) - half} ${geometry.y(median)}h${2 * half}`}
                  stroke="var(--chart-member)"
                  strokeWidth={2}
                />
              );
            })}
            {placed.map((point) => {
              const sign = signs.get(point.group);
              const at = { x: geometry.x(point.x), y: geometry.y(point.value) };
              return (
                <g
                  key={point.id}
                  onPointerEnter={() => setChosen(point.id)}
                  onPointerLeave={() => setChosen(null)}
                >
                  <circle cx={at.x} cy={at.y} r={11} fill="transparent" />
                  <PointMark
                    shape={sign?.shape ?? "circle"}
                    colour={sign?.colour ?? "var(--chart-series-1)"}
                    {...at}
                    size={point.id === chosen ? 5.5 : 4}
                  />
                </g>
              );
            })}
            {found !== undefined && (
              <text
                data-screen-only
                x={geometry.left + 8}
                y={geometry.top + 12}
                fontSize={13}
                fontWeight={500}
                fill="var(--chart-ink)"
                stroke="var(--chart-surface)"
                strokeWidth={4}
                paintOrder="stroke"
                pointerEvents="none"
              >
                {found.day}, {found.label}: {formatNumber(found.value, digits, true)} {unit}
              </text>
            )}
          </>
        );
      }}
    />
  );
}
