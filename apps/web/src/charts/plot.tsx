"use client";

import { useElementSize } from "@mantine/hooks";
import type { ReactNode } from "react";
import { CartesianGrid, ComposedChart, usePlotArea, XAxis, YAxis, ZIndexLayer } from "recharts";
import { ink } from "./chart-colours";
import classes from "./plot.module.css";

/** Where the plotting area lies on the drawing, and how numbers become places on it. */
export interface Geometry {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
}

export interface AxisSpec {
  readonly domain: readonly [number, number];
  readonly ticks: readonly number[];
  readonly format: (value: number) => string;
  /** Pixels that stay free between two ticks' words; ticks without that room are left out. Default 12. */
  readonly gap?: number;
  /** What is measured and its unit: "Skin temperature, °C". */
  readonly label: string;
}

export interface PlotMargin {
  readonly top: number;
  readonly right: number;
}

interface PlotProps {
  /** Pixels; by the width where what stands above the plotting area depends on it. */
  readonly height: number | ((width: number) => number);
  readonly x: AxisSpec;
  readonly y: AxisSpec;
  /** Room that the caller needs above and to the right of the plotting area, once the width is known. */
  readonly margin: (width: number) => PlotMargin;
  /** Drawn under the grid. */
  readonly under?: (geometry: Geometry, width: number) => ReactNode;
  /** Drawn over the grid. */
  readonly over: (geometry: Geometry, width: number) => ReactNode;
}

/** Width before the first measurement: on the server, and in the first frame. */
const firstWidth = 720;
const axisLabelHeight = 20;

const widthOfAxis = (y: Pick<AxisSpec, "ticks" | "format">) =>
  16 + Math.max(...y.ticks.map((tick) => y.format(tick).length)) * 8;

/** Where the plotting area begins and ends from left to right, before it is drawn. */
export function plotEdges(
  width: number,
  y: Pick<AxisSpec, "ticks" | "format">,
  right: number,
): { readonly left: number; readonly right: number } {
  return { left: widthOfAxis(y), right: width - right };
}

/** Axes, grid and plotting area, by recharts; what is plotted comes from the caller as plain SVG. */
export function Plot({ height: wanted, x, y, margin, under, over }: PlotProps) {
  const { ref, width: measured } = useElementSize();
  const width = measured > 0 ? Math.round(measured) : firstWidth;
  const { top, right } = margin(width);
  const height = typeof wanted === "number" ? wanted : wanted(width);
  const axisWidth = widthOfAxis(y);
  return (
    <div ref={ref} className={classes.plot} style={{ height }}>
      <ComposedChart
        width={width}
        height={height}
        data={[]}
        accessibilityLayer={false}
        margin={{ top: top + axisLabelHeight, right, bottom: 22, left: 0 }}
      >
        <CartesianGrid vertical={false} stroke={ink("--chart-grid")} />
        <XAxis
          type="number"
          dataKey="x"
          domain={[...x.domain]}
          ticks={[...x.ticks]}
          tickFormatter={x.format}
          allowDataOverflow
          interval="preserveStart"
          minTickGap={x.gap ?? 12}
          height={28}
          tickMargin={6}
          stroke={ink("--chart-axis")}
          tick={{ fill: ink("--chart-quiet-ink"), fontSize: 13 }}
          tickSize={4}
        />
        <YAxis
          type="number"
          dataKey="y"
          domain={[...y.domain]}
          ticks={[...y.ticks]}
          tickFormatter={y.format}
          allowDataOverflow
          interval={0}
          width={axisWidth}
          stroke={ink("--chart-axis")}
          axisLine={false}
          tick={{ fill: ink("--chart-quiet-ink"), fontSize: 13 }}
          tickSize={4}
          tickLine={false}
        />
        {under !== undefined && (
          <ZIndexLayer zIndex={-200}>
            <Within x={x} y={y}>
              {(geometry) => under(geometry, width)}
            </Within>
          </ZIndexLayer>
        )}
        <ZIndexLayer zIndex={600}>
          <Within x={x} y={y}>
            {(geometry) => (
              <>
                <text x={2} y={geometry.top - top - 8} fontSize={13} fill={ink("--chart-quiet-ink")}>
                  {y.label}
                </text>
                <text
                  x={geometry.left + geometry.width}
                  y={height - 6}
                  textAnchor="end"
                  fontSize={13}
                  fill={ink("--chart-quiet-ink")}
                >
                  {x.label}
                </text>
                {over(geometry, width)}
              </>
            )}
          </Within>
        </ZIndexLayer>
      </ComposedChart>
    </div>
  );
}

interface WithinProps {
  readonly x: AxisSpec;
  readonly y: AxisSpec;
  readonly children: (geometry: Geometry) => ReactNode;
}

function Within({ x, y, children }: WithinProps) {
  const area = usePlotArea();
  if (area === undefined || area.width <= 0 || area.height <= 0) return null;
  const scale = (domain: readonly [number, number], from: number, length: number) => (value: number) =>
    from + ((value - domain[0]) / (domain[1] - domain[0])) * length;
  return children({
    left: area.x,
    top: area.y,
    width: area.width,
    height: area.height,
    x: scale(x.domain, area.x, area.width),
    y: scale(y.domain, area.y + area.height, -area.height),
  });
}
