import { memo } from "react";
import type { CourseSeries } from "./course";
import type { Geometry } from "./plot";

interface LineProps {
  readonly series: CourseSeries;
  readonly geometry: Geometry;
  /** For lines that stand behind others. */
  readonly thin?: boolean;
}

const place = (value: number) => Math.round(value * 10) / 10;

/** The line of a series. A missing value breaks it; a value alone between two gaps becomes a dot. */
export const Line = memo(function Line({ series, geometry, thin = false }: LineProps) {
  let path = "";
  let open = false;
  series.timesS.forEach((time, index) => {
    const value = series.values[index];
    if (value === null || value === undefined || !Number.isFinite(value)) {
      open = false;
      return;
    }
    const point = `${place(geometry.x(time))} ${place(geometry.y(value))}`;
    const next = series.values[index + 1];
    const alone = !open && (next === null || next === undefined);
    path += open ? `L${point}` : `M${point}${alone ? "h0" : ""}`;
    open = true;
  });
  return (
    <path
      d={path}
      fill="none"
      stroke={series.sign.colour}
      strokeWidth={thin ? 1 : 1.75}
      strokeLinejoin="round"
      strokeLinecap={series.sign.dash === undefined ? "round" : "butt"}
      {...(series.sign.dash === undefined ? {} : { strokeDasharray: series.sign.dash })}
    />
  );
}, same);

/** The area between the two limits of a series, piece by piece where there are both. */
export const Band = memo(function Band({ series, geometry }: LineProps) {
  const { low, high, timesS } = series;
  if (low === undefined || high === undefined) return null;
  const pieces: string[] = [];
  let upper: string[] = [];
  let lower: string[] = [];
  const close = () => {
    if (upper.length > 1) pieces.push(`M${upper.join("L")}L${lower.reverse().join("L")}Z`);
    upper = [];
    lower = [];
  };
  timesS.forEach((time, index) => {
    const from = low[index];
    const to = high[index];
    if (from === null || from === undefined || to === null || to === undefined) {
      close();
      return;
    }
    upper.push(`${place(geometry.x(time))} ${place(geometry.y(to))}`);
    lower.push(`${place(geometry.x(time))} ${place(geometry.y(from))}`);
  });
  close();
  return <path d={pieces.join("")} fill={series.sign.colour} fillOpacity={0.16} stroke="none" />;
}, same);

function same(before: LineProps, after: LineProps): boolean {
  const [a, b] = [before.geometry, after.geometry];
  return (
    before.series === after.series &&
    before.thin === after.thin &&
    a.left === b.left &&
    a.top === b.top &&
    a.width === b.width &&
    a.height === b.height &&
    // Two probes decide a linear scale.
    a.x(0) === b.x(0) &&
    a.x(1) === b.x(1) &&
    a.y(0) === b.y(0) &&
    a.y(1) === b.y(1)
  );
}
