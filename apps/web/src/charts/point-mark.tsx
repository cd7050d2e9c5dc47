import type { PointShape } from "./series-sign";

interface PointMarkProps {
  readonly shape: PointShape;
  readonly x: number;
  readonly y: number;
  readonly colour: string;
  readonly size?: number;
}

/** A point whose outline, not only its colour, says what it belongs to. */
export function PointMark({ shape, x, y, colour, size = 4 }: PointMarkProps) {
  switch (shape) {
    case "circle":
      return <circle cx={x} cy={y} r={size} fill={colour} />;
    case "square":
      return <rect x={x - size} y={y - size} width={2 * size} height={2 * size} fill={colour} />;
    case "triangle":
      return <path d={`M${x} ${y - size * 1.2}l${size * 1.2} ${size * 2.1}h${-size * 2.4}z`} fill={colour} />;
    case "diamond":
      return (
        <path
          d={`M${x} ${y - size * 1.4}l${size * 1.4} ${size * 1.4}l${-size * 1.4} ${size * 1.4}l${-size * 1.4} ${-size * 1.4}z`}
          fill={colour}
        />
      );
    case "cross":
      return (
        <path
          d={`M${x - size} ${y - size}l${2 * size} ${2 * size}m0 ${-2 * size}l${-2 * size} ${2 * size}`}
          stroke={colour}
          strokeWidth={2}
          fill="none"
        />
      );
    case "ring":
      return <circle cx={x} cy={y} r={size - 0.5} fill="none" stroke={colour} strokeWidth={2} />;
  }
}
