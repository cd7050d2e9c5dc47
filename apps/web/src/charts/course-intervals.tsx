"use client";

import { createPortal } from "react-dom";
import type { CourseInterval, TimeSpan } from "./course";
import { useOverDrawing } from "./figure-frame";
import { type IntervalPlace, laneHeight } from "./interval-lanes";
import type { Geometry } from "./plot";
import classes from "./plot.module.css";

interface IntervalMarksProps {
  readonly places: readonly IntervalPlace[];
  readonly lanes: number;
  readonly geometry: Geometry;
  /** The id of the interval that is chosen. */
  readonly chosen: string | null;
  readonly onChoose?: (id: string) => void;
}

const topOfLane = (geometry: Geometry, lanes: number, lane: number) =>
  geometry.top - 4 - (lanes - lane) * laneHeight;

const label = (members: IntervalPlace["members"]) => `${members[0].number}${members.length > 1 ? "…" : ""}`;

/** Numbered marks above the plotting area, each with a bar over its stretch of time. */
export function IntervalMarks({ places, lanes, geometry, chosen, onChoose }: IntervalMarksProps) {
  return (
    <>
      {places.map((place) => {
        const { members, lane, tokenX, tokenWidth, fromX, toX, begins, ends } = place;
        const top = topOfLane(geometry, lanes, lane);
        const settled = members.every((member) => member.settled);
        const isChosen = members.some((member) => member.id === chosen);
        return (
          <g key={members[0].id}>
            {toX - fromX > 1 && (
              <path
                d={`M${fromX} ${top + 12}H${toX}${begins ? `M${fromX} ${top + 6}v12` : ""}${ends ? `M${toX} ${top + 6}v12` : ""}`}
                stroke={settled ? "var(--chart-axis)" : "var(--chart-mark)"}
                strokeWidth={isChosen ? 2.5 : 1.25}
                fill="none"
                {...(settled ? { strokeDasharray: "3 2" } : {})}
              />
            )}
            <rect
              x={tokenX + 1}
              y={top + 2}
              width={tokenWidth - 2}
              height={20}
              rx={2}
              fill={settled ? "var(--chart-surface)" : "var(--chart-mark)"}
              stroke={isChosen ? "var(--chart-ink)" : "var(--chart-mark)"}
              strokeWidth={isChosen ? 2.5 : 1}
            />
            <text
              x={tokenX + tokenWidth / 2}
              y={top + 16.5}
              textAnchor="middle"
              fontSize={13}
              fontWeight={isChosen ? 700 : 500}
              fill={settled ? "var(--chart-ink)" : "var(--chart-surface)"}
            >
              {label(members)}
            </text>
          </g>
        );
      })}
      {onChoose !== undefined && <IntervalButtons {...{ places, lanes, geometry, chosen, onChoose }} />}
    </>
  );
}

interface IntervalButtonsProps extends IntervalMarksProps {
  readonly onChoose: (id: string) => void;
}

/** The same marks as buttons over the drawing. A mark that stands for several leads through them, one by one. */
function IntervalButtons({ places, lanes, geometry, chosen, onChoose }: IntervalButtonsProps) {
  const over = useOverDrawing();
  if (over === null) return null;
  const next = (members: readonly CourseInterval[]) => {
    const at = members.findIndex((member) => member.id === chosen);
    return members[(at + 1) % members.length];
  };
  return createPortal(
    places.map((place) => {
      const { members, lane, tokenX, tokenWidth } = place;
      return (
        <button
          key={members[0].id}
          type="button"
          className={classes.mark}
          style={{ left: tokenX, top: topOfLane(geometry, lanes, lane), width: tokenWidth }}
          aria-pressed={members.some((member) => member.id === chosen)}
          aria-label={
            members.length === 1
              ? members[0].label
              : `${members.length} close together: ${members.map((member) => member.label).join("; ")}`
          }
          title={members.map((member) => member.label).join("\n")}
          onClick={() => {
            const wanted = next(members);
            if (wanted !== undefined) onChoose(wanted.id);
          }}
        />
      );
    }),
    over,
  );
}

interface HighlightProps {
  readonly span: TimeSpan;
  readonly geometry: Geometry;
}

/** A stretch of time over the whole height of the plotting area, with dashed edges: it is seen without colour. */
export function Highlight({ span, geometry }: HighlightProps) {
  const right = geometry.left + geometry.width;
  const clamp = (place: number) => Math.min(right, Math.max(geometry.left, place));
  const from = clamp(geometry.x(span.fromS));
  const to = clamp(geometry.x(span.toS));
  return (
    <g>
      <rect
        x={from}
        y={geometry.top}
        width={Math.max(1, to - from)}
        height={geometry.height}
        fill="var(--chart-mark)"
        fillOpacity={0.14}
      />
      <path
        d={`M${from} ${geometry.top}v${geometry.height}M${to} ${geometry.top}v${geometry.height}`}
        stroke="var(--chart-ink)"
        strokeWidth={1.25}
        strokeDasharray="5 3"
      />
    </g>
  );
}
