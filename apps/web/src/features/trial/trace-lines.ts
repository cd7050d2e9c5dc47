import type { Outputs } from "@/trpc/outputs";

type Course = Outputs["trial"]["course"];

/** A trace as a figure offers it. */
export interface TraceLine {
  readonly id: string;
  readonly label: string;
  readonly quantity: string;
  readonly unit: string;
  readonly timesS: readonly number[];
  readonly values: readonly (number | null)[];
  readonly reduced: boolean;
  /** Drawn from the start, without being asked for. */
  readonly first: boolean;
}

export const skin = "Skin temperature";
const spread = "Spread within the region";

/** Every trace as a line, grouped by what it measures: only lines of one quantity share an axis. */
export function linesOf(course: Pick<Course, "traces" | "meanSkinTemperature">): TraceLine[] {
  const { meanSkinTemperature: mean } = course;
  const body: TraceLine[] =
    mean.kind === "available"
      ? [{ ...mean, id: "mean skin temperature", quantity: skin, unit: "°C", first: true }]
      : [];
  const seen = new Map<string, number>();
  const traces = course.traces.map((trace): TraceLine => {
    const quantity =
      trace.kind === "region" ? (trace.statistic === "standard deviation" ? spread : skin) : trace.label;
    const plain = `${trace.series} ${trace.statistic ?? ""}`;
    const count = (seen.get(plain) ?? 0) + 1;
    seen.set(plain, count);
    return {
      id: count === 1 ? plain : `${plain} ${count}`,
      // The same series from two files keeps apart by the file's name.
      label: count === 1 ? trace.label : `${trace.label}, ${trace.fileNames.join(", ")}`,
      quantity,
      unit: trace.unit,
      timesS: trace.timesS,
      values: trace.values,
      reduced: trace.reduced,
      first: trace.statistic === "mean" || trace.statistic === "point",
    };
  });
  return [...body, ...traces];
}
