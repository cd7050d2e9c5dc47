import { type ChartColour, ink } from "./chart-colours";

/** How one series is told from the others: a colour and, for eyes or printers without colour, a line style. */
export interface SeriesSign {
  readonly colour: string;
  readonly dash: string | undefined;
  readonly shape: PointShape;
}

export type PointShape = "circle" | "square" | "triangle" | "diamond" | "cross" | "ring";

const colours: readonly ChartColour[] = [
  "--chart-series-1",
  "--chart-series-2",
  "--chart-series-3",
  "--chart-series-4",
  "--chart-series-5",
  "--chart-series-6",
];
const dashes: readonly (string | undefined)[] = [undefined, "7 3", "2 3", "9 3 2 3", "14 4", "5 2 2 2 2 2"];
const shapes: readonly PointShape[] = ["circle", "square", "triangle", "diamond", "cross", "ring"];

/** The sign of the index-th series or condition. Signs differ up to 36 series; a figure should have far fewer. */
export function seriesSign(index: number): SeriesSign {
  const step = Math.max(0, Math.trunc(index));
  const colour = colours[step % colours.length] ?? "--chart-series-1";
  const turn = (step + Math.floor(step / colours.length)) % dashes.length;
  return { colour: ink(colour), dash: dashes[turn], shape: shapes[turn] ?? "circle" };
}
