import type { CourseSeries } from "./course";
import type { Geometry } from "./plot";
import { spreadLabels, textWidth } from "./spread-labels";

const sample = 22;
const lineHeight = 18;

export function labelsWidth(series: readonly CourseSeries[]): number {
  return Math.max(12, ...series.map((one) => sample + 16 + textWidth(one.label)));
}

/** Names stand at the ends of their lines where the width allows; otherwise in rows above the plotting area. */
export function labelsFit(series: readonly CourseSeries[], width: number): boolean {
  return series.length <= 12 && labelsWidth(series) <= width * 0.3;
}

interface LabelsProps {
  readonly series: readonly CourseSeries[];
  readonly geometry: Geometry;
}

export function DirectLabels({ series, geometry }: LabelsProps) {
  const right = geometry.left + geometry.width;
  const placed = spreadLabels(
    series.map((one) => {
      const last = one.values.findLast((value) => value !== null && Number.isFinite(value));
      return { item: one, at: geometry.y(last ?? 0) };
    }),
    lineHeight,
    geometry.top + 4,
    geometry.top + geometry.height - 4,
  );
  return placed.map(({ item, y }) => <Name key={item.id} series={item} x={right + 8} y={y} />);
}

interface KeyPlace {
  readonly series: CourseSeries;
  readonly x: number;
  readonly row: number;
}

/** Rows of names that are filled from the left like words of a text. */
export function keyLayout(
  series: readonly CourseSeries[],
  width: number,
): { readonly places: readonly KeyPlace[]; readonly height: number } {
  const places: KeyPlace[] = [];
  let x = 2;
  let row = 0;
  for (const one of series) {
    const wide = sample + 6 + textWidth(one.label);
    if (x > 2 && x + wide > width) {
      x = 2;
      row += 1;
    }
    places.push({ series: one, x, row });
    x += wide + 16;
  }
  return { places, height: places.length === 0 ? 0 : (row + 1) * lineHeight + 4 };
}

interface KeyRowsProps extends LabelsProps {
  readonly width: number;
  /** Room between the rows and the plotting area. */
  readonly above: number;
}

export function KeyRows({ series, geometry, width, above }: KeyRowsProps) {
  const { places, height } = keyLayout(series, width);
  const top = geometry.top - above - height + lineHeight / 2;
  return places.map((place) => (
    <Name key={place.series.id} series={place.series} x={place.x} y={top + place.row * lineHeight} />
  ));
}

interface NameProps {
  readonly series: CourseSeries;
  readonly x: number;
  readonly y: number;
}

/** A piece of the line as it is drawn, then its name in ink: the colour need not be readable as text. */
function Name({ series, x, y }: NameProps) {
  return (
    <g>
      <path
        d={`M${x} ${y}h${sample}`}
        stroke={series.sign.colour}
        strokeWidth={2}
        {...(series.sign.dash === undefined ? {} : { strokeDasharray: series.sign.dash })}
      />
      <text x={x + sample + 6} y={y + 4.5} fontSize={13} fill="var(--chart-ink)">
        {series.label}
      </text>
    </g>
  );
}
