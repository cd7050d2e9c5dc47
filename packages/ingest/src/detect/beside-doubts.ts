import type { Doubt } from "../detection";
import { plainText } from "../match/normalise-name";
import type { TimeGuess } from "./guess-time";
import type { Place } from "./source";
import type { ColumnsGuess, ColumnsInput } from "./wide-columns";

/**
 * Tables side by side, each with its own time: a further column is named as the time is, and holds other times. Only the
 * columns of the first can be read by the first time; those of the others are left out, and it is said.
 */
export function besideDoubts(
  input: ColumnsInput,
  time: TimeGuess | null,
  wide: ColumnsGuess,
  place: Place,
): Doubt[] {
  const [timeColumn] = time?.time.columns ?? [];
  if (timeColumn === undefined || time?.time.columns.length !== 1) return [];
  const name = nameOf(input, timeColumn);
  if (name === "") return [];
  const doubts: Doubt[] = [];
  const starts = Array.from({ length: input.columnCount }, (_, index) => index).filter(
    (index) => index > timeColumn && nameOf(input, index) === name,
  );
  for (const [i, start] of starts.entries()) {
    const differs = input.data.find(({ cells }) => (cells[start] ?? "") !== (cells[timeColumn] ?? ""));
    if (differs === undefined) continue;
    const end = starts[i + 1] ?? input.columnCount;
    for (const column of wide.columns) {
      if (column.index < start || column.index >= end) continue;
      column.use = { kind: "ignore" };
      column.unit = null;
    }
    for (const guess of wide.guesses) {
      if (guess.column >= start && guess.column < end) guess.use = { kind: "ignore" };
    }
    doubts.push({
      kind: "blocks",
      field: "columns",
      line: differs.line,
      column: start,
      guessed: "left out",
      alternatives: [],
      reason: `Column ${start + 1} holds times too ("${name}"), which differ from those of column ${timeColumn + 1} on ${place} ${differs.line}: there are tables side by side, each with its own time. The columns from there on are left out; save them as a file of their own and upload it too.`,
    });
  }
  return doubts;
}

function nameOf(input: ColumnsInput, column: number): string {
  return plainText((input.parts[column] ?? []).join(" ").replace(/\s+/g, " ").trim());
}
