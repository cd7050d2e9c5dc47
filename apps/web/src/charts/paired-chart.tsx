"use client";

import { useState } from "react";
import { formatNumber } from "../components/quantity";
import { extent } from "./course";
import { formatTick } from "./course-chart";
import type { Pair, PairedCondition } from "./paired";
import { type Geometry, Plot } from "./plot";
import { PointMark } from "./point-mark";
import { valueTicks } from "./ticks";

export interface PairedChartProps {
  readonly conditions: readonly [PairedCondition, PairedCondition];
  readonly pairs: readonly Pair[];
  /** What is compared: "Lowest forearm temperature". */
  readonly quantity: string;
  readonly unit: string;
  readonly digits?: number;
  readonly height?: number;
}

/** One line per volunteer from the first condition to the second, with the means and their intervals outside. */
export function PairedChart({
  conditions,
  pairs,
  quantity,
  unit,
  digits = 2,
  height = 360,
}: PairedChartProps) {
  const [chosen, setChosen] = useState<string | null>(null);
  const [first, second] = conditions;
  const limits = extent([
    pairs.map((pair) => pair.first),
    pairs.map((pair) => pair.second),
    conditions.flatMap((condition) => (condition.mean ? [condition.mean.low, condition.mean.high] : [])),
  ]) ?? [0, 1];
  const ticks = valueTicks(limits[0], limits[1]);
  const places = [0, 1] as const;

  return (
    <Plot
      height={height}
      x={{
        domain: [-0.5, 1.5],
        ticks: places,
        format: (place) => (place === 0 ? first.label : second.label),
        label: "",
      }}
      y={{
        domain: [ticks.values[0] ?? 0, ticks.values.at(-1) ?? 1],
        ticks: ticks.values,
        format: (value) => formatTick(value, ticks.digits),
        label: unit === "" ? quantity : `${quantity}, ${unit}`,
      }}
      margin={() => ({ top: 6, right: 12 })}
      over={(geometry) => (
        <>
          {pairs.map((pair) => (
            <PairLine
              key={pair.code}
              pair={pair}
              conditions={conditions}
              geometry={geometry}
              chosen={chosen === pair.code}
              onChoose={setChosen}
            />
          ))}
          {places.map((place) => {
            const condition = conditions[place];
            return condition.mean === undefined ? null : (
              <Mean
                key={place}
                condition={condition}
                mean={condition.mean}
                x={geometry.x(place === 0 ? -0.16 : 1.16)}
                labelX={geometry.x(place === 0 ? -0.16 : 1.16) + (place === 0 ? -10 : 10)}
                anchor={place === 0 ? "end" : "start"}
                geometry={geometry}
                digits={digits}
              />
            );
          })}
          {pairs
            .filter((pair) => pair.code === chosen)
            .map((pair) => (
              <text
                key={pair.code}
                data-screen-only
                x={geometry.x(0.5)}
                y={geometry.top + 12}
                textAnchor="middle"
                fontSize={13}
                fontWeight={500}
                fill="var(--chart-ink)"
                stroke="var(--chart-surface)"
                strokeWidth={4}
                paintOrder="stroke"
                pointerEvents="none"
              >
                {pair.code}: {formatNumber(pair.first, digits)} → {formatNumber(pair.second, digits)} {unit}
              </text>
            ))}
        </>
      )}
    />
  );
}

interface PairLineProps {
  readonly pair: Pair;
  readonly conditions: readonly [PairedCondition, PairedCondition];
  readonly geometry: Geometry;
  readonly chosen: boolean;
  readonly onChoose: (code: string | null) => void;
}

function PairLine({ pair, conditions, geometry, chosen, onChoose }: PairLineProps) {
  const from = { x: geometry.x(0), y: geometry.y(pair.first) };
  const to = { x: geometry.x(1), y: geometry.y(pair.second) };
  const line = `M${from.x} ${from.y}L${to.x} ${to.y}`;
  return (
    <g onPointerEnter={() => onChoose(pair.code)} onPointerLeave={() => onChoose(null)}>
      <path d={line} stroke="transparent" strokeWidth={10} fill="none" />
      <path
        d={line}
        stroke={chosen ? "var(--chart-ink)" : "var(--chart-member)"}
        strokeWidth={chosen ? 2 : 1}
        fill="none"
      />
      <PointMark shape={conditions[0].sign.shape} colour={conditions[0].sign.colour} {...from} size={3.5} />
      <PointMark shape={conditions[1].sign.shape} colour={conditions[1].sign.colour} {...to} size={3.5} />
    </g>
  );
}

interface MeanProps {
  readonly condition: PairedCondition;
  readonly mean: { readonly value: number; readonly low: number; readonly high: number };
  readonly x: number;
  readonly labelX: number;
  readonly anchor: "start" | "end";
  readonly geometry: Geometry;
  readonly digits: number;
}

function Mean({ condition, mean, x, labelX, anchor, geometry, digits }: MeanProps) {
  return (
    <g>
      <path
        d={`M${x - 5} ${geometry.y(mean.low)}h10m-5 0V${geometry.y(mean.high)}m-5 0h10`}
        stroke={condition.sign.colour}
        strokeWidth={2}
        fill="none"
      />
      <PointMark
        shape={condition.sign.shape}
        colour={condition.sign.colour}
        x={x}
        y={geometry.y(mean.value)}
        size={5.5}
      />
      <text
        x={labelX}
        y={geometry.y(mean.value) + 4.5}
        textAnchor={anchor}
        fontSize={13}
        fontWeight={600}
        fill="var(--chart-ink)"
      >
        {formatNumber(mean.value, digits)}
      </text>
    </g>
  );
}
