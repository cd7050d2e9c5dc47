import { regions } from "@acral/analysis/skin";

const statistics = ["mean", "max", "min"];
export const framesPerSecond = 30;
export const rowsPerHour = 3600 * framesPerSecond;
export const traceCount = 60;

/** "time [s]" and twenty regions x mean, max and min. */
export function headerLine(): string {
  const wanted = regions.filter((region) => region.side !== "midline").slice(0, 20);
  const names = wanted.flatMap((region) =>
    statistics.map((statistic) => `${region.label.replaceAll(",", "")} ${statistic} [°C]`),
  );
  return `time [s],${names.join(",")}\n`;
}

/** The values of one frame, invented, each behind a comma. */
export function frameValues(frame: number): string {
  let line = "";
  for (let column = 0; column < traceCount; column++) {
    const value = 30 + 3 * Math.sin(frame / 5000 + column) + ((frame * 7919 + column * 104_729) % 100) / 1000;
    line += `,${value.toFixed(column % 2 === 0 ? 3 : 2)}`;
  }
  return line;
}

/** One hour at 30 Hz, twenty regions x mean, max and min: about 43 MB of text. */
export function oneHour(): Uint8Array {
  const lines = [headerLine()];
  for (let frame = 0; frame < rowsPerHour; frame++) {
    lines.push(`${(frame / framesPerSecond).toFixed(4)}${frameValues(frame)}\n`);
  }
  return new TextEncoder().encode(lines.join(""));
}
