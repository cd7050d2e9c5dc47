import { encode } from "uqr";

interface SquareCodeProps {
  readonly text: string;
  /** What it holds, in words. */
  readonly label: string;
  readonly className?: string | undefined;
}

/** A text as a square that cameras read, drawn here; dark on light in both schemes, as readers need it. */
export function SquareCode({ text, label, className }: SquareCodeProps) {
  const { data, size } = encode(text, { border: 4 });
  const path = data.flatMap((row, y) => row.map((dark, x) => (dark ? `M${x} ${y}h1v1h-1z` : ""))).join("");
  return (
    <svg
      viewBox={`0 0 ${size} ${size}`}
      className={className}
      role="img"
      aria-label={label}
      shapeRendering="crispEdges"
    >
      <rect width={size} height={size} fill="#fff" />
      <path d={path} fill="#000" />
    </svg>
  );
}
