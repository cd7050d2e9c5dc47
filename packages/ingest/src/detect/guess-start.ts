import type { ColumnMap } from "../column-map";
import type { Doubt } from "../detection";
import type { TimeCandidate, TimeInput } from "./guess-time";

/** What the preamble says of the moment at which the file's clock or count begins, as far as the column does not say it. */
export function guessStart(
  { facts, numbers }: TimeInput,
  { format, columns, unit }: TimeCandidate,
): { start: Pick<ColumnMap["time"], "date" | "clock">; doubts: Doubt[] } {
  const [column = 0] = columns;
  switch (format) {
    case "clock":
      return { start: { date: facts.date, clock: null }, doubts: [] };
    case "date and time":
    case "spreadsheet serial":
    case "unix":
      return { start: { date: null, clock: null }, doubts: [] };
    case "number":
    case "elapsed":
    case "frame number": {
      const date = facts.startDate ?? facts.date;
      const first = numbers[column]?.[0] ?? 0;
      const step = (numbers[column]?.[1] ?? first) - first;
      const { startClock: clock } = facts;
      const start = { date: clock === null ? null : date, clock };
      // Counted from one, or from zero, is from the start; a count that begins elsewhere may have its zero elsewhere.
      if (clock === null || format === "elapsed" || Math.abs(first) <= Math.max(1, 2 * step)) {
        return { start, doubts: [] };
      }
      const counted = format === "frame number" ? `frame ${first}` : `${first} ${unit}`;
      return {
        start,
        doubts: [
          {
            kind: "start",
            field: "time.clock",
            line: null,
            column,
            guessed: `${clock} at zero`,
            alternatives: [`${clock} at ${counted}`],
            reason: `The file says that it starts at ${clock}, but its time begins at ${counted}: ${clock} is taken for the moment of zero, and could be that of the first row.`,
          },
        ],
      };
    }
  }
}
