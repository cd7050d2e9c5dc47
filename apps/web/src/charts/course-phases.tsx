import type { CoursePhase } from "./course";
import type { Geometry } from "./plot";
import { textWidth } from "./spread-labels";

interface PhasesProps {
  readonly phases: readonly CoursePhase[];
  readonly geometry: Geometry;
  /** Room between the plotting area and the names, for what else stands above it. */
  readonly lift?: number;
}

function edges(phase: CoursePhase, geometry: Geometry): { from: number; to: number } | null {
  const right = geometry.left + geometry.width;
  const from = Math.min(right, Math.max(geometry.left, geometry.x(phase.startS)));
  const to = Math.min(right, Math.max(geometry.left, geometry.x(phase.endS)));
  return to > from ? { from, to } : null;
}

/** Every second phase on a faintly darker ground, a hairline where one begins. */
export function PhaseBands({ phases, geometry, lift = 0 }: PhasesProps) {
  return phases.map((phase, index) => {
    const edge = edges(phase, geometry);
    if (edge === null) return null;
    const { from, to } = edge;
    return (
      <g key={`${phase.label} ${phase.startS}`}>
        {index % 2 === 1 && (
          <rect
            x={from}
            y={geometry.top}
            width={to - from}
            height={geometry.height}
            fill="var(--chart-phase)"
          />
        )}
        <path
          d={`M${from} ${geometry.top - lift - 18}V${geometry.top + geometry.height}`}
          stroke="var(--chart-grid)"
        />
      </g>
    );
  });
}

/** The names of the phases above the plotting area. A name too long for its phase is cut, and whole in its title. */
export function PhaseNames({ phases, geometry, lift = 0 }: PhasesProps) {
  return phases.map((phase) => {
    const edge = edges(phase, geometry);
    if (edge === null) return null;
    const room = Math.floor((edge.to - edge.from - 8) / 7);
    const name =
      textWidth(phase.label) <= edge.to - edge.from - 6
        ? phase.label
        : room >= 3
          ? `${phase.label.slice(0, room - 1)}…`
          : "";
    return (
      <text
        key={`${phase.label} ${phase.startS}`}
        x={edge.from + 5}
        y={geometry.top - lift - 7}
        fontSize={13}
        fontWeight={500}
        fill="var(--chart-ink)"
      >
        {name}
        <title>{phase.label}</title>
      </text>
    );
  });
}
