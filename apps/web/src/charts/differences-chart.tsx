"use client";

import { useState } from "react";
import { formatNumber } from "../components/quantity";
import { extent } from "./course";
import { formatTick } from "./course-chart";
import type { MeanDifference, Pair } from "./paired";
import { Plot } from "./plot";
import { valueTicks } from "./ticks";

export interface DifferencesChartProps {
  readonly pairs: readonly Pair[];
  /** "Gloves − bare hands" */
  readonly differenceLabel: string;
  readonly unit: string;
  readonly mean?: MeanDifference;
  readonly digits?: number;
  readonly height?: number;
}

/** Each volunteer's difference, smallest first, against zero and against the mean difference with its interval. */
export function DifferencesChart({
  pairs,
  differenceLabel,
  unit,
  mean,
  digits = 2,
  height = 360,
}: DifferencesChartProps) {
  const [chosen, setChosen] = useState<string | null>(null);
  const ordered = pairs
    .map((pair) => ({ code: pair.code, difference: pair.second - pair.first }))
    .sort((a, b) => a.difference - b.difference);
  const limits = extent([
    ordered.map((one) => one.difference),
    mean === undefined ? undefined : [mean.low, mean.high],
    [0],
  ]) ?? [-1, 1];
  const ticks = valueTicks(limits[0], limits[1]);
  return (
    <Plot
      height={height}
      x={{
        domain: [-0.75, Math.max(0.75, ordered.length - 0.25)],
        ticks: [],
        format: String,
        label: "Volunteers, by difference",
      }}
      y={{
        domain: [ticks.values[0] ?? -1, ticks.values.at(-1) ?? 1],
        ticks: ticks.values,
        format: (value) => formatTick(value, ticks.digits),
        label: unit === "" ? differenceLabel : `${differenceLabel}, ${unit}`,
      }}
      margin={() => ({ top: 6, right: mean === undefined ? 12 : 64 })}
      over={(geometry) => {
        const right = geometry.left + geometry.width;
        return (
          <>
            {mean !== undefined && (
              <g>
                <rect
                  x={geometry.left}
                  y={geometry.y(mean.high)}
                  width={geometry.width}
                  height={Math.max(1, geometry.y(mean.low) - geometry.y(mean.high))}
                  fill="var(--chart-ink)"
                  fillOpacity={0.08}
                />
                <path
                  d={`M${geometry.left} ${geometry.y(mean.value)}H${right}`}
                  stroke="var(--chart-ink)"
                  strokeDasharray="7 3"
                />
                <text
                  x={right + 6}
                  y={geometry.y(mean.value) - 3}
                  fontSize={13}
                  fill="var(--chart-quiet-ink)"
                >
                  mean
                </text>
                <text
                  x={right + 6}
                  y={geometry.y(mean.value) + 12}
                  fontSize={13}
                  fontWeight={600}
                  fill="var(--chart-ink)"
                >
                  {formatNumber(mean.value, digits, true)}
                </text>
              </g>
            )}
            <path
              d={`M${geometry.left} ${geometry.y(0)}H${right}`}
              stroke="var(--chart-ink)"
              strokeWidth={1.25}
            />
            {ordered.map((one, index) => (
              <g
                key={one.code}
                onPointerEnter={() => setChosen(one.code)}
                onPointerLeave={() => setChosen(null)}
              >
                <path
                  d={`M${geometry.x(index)} ${geometry.y(0)}V${geometry.y(one.difference)}`}
                  stroke="transparent"
                  strokeWidth={10}
                />
                <path
                  d={`M${geometry.x(index)} ${geometry.y(0)}V${geometry.y(one.difference)}`}
                  stroke="var(--chart-member)"
                />
                <circle
                  cx={geometry.x(index)}
                  cy={geometry.y(one.difference)}
                  r={chosen === one.code ? 5.5 : 4}
                  fill="var(--chart-series-1)"
                />
              </g>
            ))}
            {ordered
              .filter((one) => one.code === chosen)
              .map((one) => (
                <text
                  key={one.code}
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
                  {one.code}: {formatNumber(one.difference, digits, true)} {unit}
                </text>
              ))}
          </>
        );
      }}
    />
  );
}
