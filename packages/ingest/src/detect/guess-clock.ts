import type { Doubt } from "../detection";

/** Whether hh:mm:ss counts from the start or is the time of day. */
export function guessClock(
  cells: readonly string[],
  plainName: string,
  column: number,
): { format: "clock" | "elapsed"; doubts: Doubt[] } {
  const first = cells[0] ?? "";
  const fields = cells.map((cell) => cell.split(":"));
  const twoParts = fields.every((parts) => parts.length === 2);
  const largest = Math.max(...fields.map((parts) => Number.parseInt(parts[0] ?? "", 10)));
  const sure = (format: "clock" | "elapsed") => ({ format, doubts: [] });
  if (cells.some((cell) => /[ap]\.?m\.?$|z$|utc|[+-]\d{2}:?\d{2}$|h/i.test(cell))) return sure("clock");
  if (cells.some((cell) => cell.startsWith("-"))) return sure("elapsed");
  if (largest > 24) return sure("elapsed");
  if (
    /clock|time of day|uhrzeit|tageszeit|\bheure\b|\bhora\b|\bora\b|local time|kloktijd|tijdstip/.test(
      plainName,
    )
  )
    return sure("clock");
  if (
    /elapsed|duration|since|dauer|laufzeit|verstrichen|ecoule|duree|transcurrido|verstreken|trascorso|relative|\brel\b/.test(
      plainName,
    )
  ) {
    return sure("elapsed");
  }
  const zeroStart = /^0?0:00(:00)?([.,:]0+)?$/.test(first);
  if (zeroStart && !twoParts) return sure("elapsed");
  const hour = Number.parseInt(first, 10);
  if (twoParts && /[.,]\d+$/.test(first)) return sure("elapsed");
  const guess = zeroStart || (!twoParts && hour < 4) ? "elapsed" : "clock";
  if (!twoParts && hour >= 4) return sure("clock");
  return {
    format: guess,
    doubts: [
      {
        kind: "time column",
        field: "time.format",
        line: null,
        column,
        guessed: guess,
        alternatives: [guess === "clock" ? "elapsed" : "clock"],
        reason: twoParts
          ? `"${first}" can be minutes and seconds from the start, or hours and minutes of the day.`
          : `"${first}" can be counted from the start, or be a time of day soon after midnight.`,
      },
    ],
  };
}
