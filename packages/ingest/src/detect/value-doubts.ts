import type { ColumnMap } from "../column-map";
import type { Doubt } from "../detection";
import type { ShapedRow } from "./find-table";
import { median } from "./number-columns";

const usualSentinels = [
  -9999, -9999.9, -999, -999.9, -99, -99.9, -1, 0, 99.9, 999, 999.9, 9999, 9999.9, 32767, 65535, 99999,
];

/** Numbers that look like "no value" and words that are neither numbers nor known missing-value words. */
export function valueDoubts(
  map: ColumnMap,
  data: readonly ShapedRow[],
  numbersPerColumn: readonly (readonly number[])[],
): Doubt[] {
  const place = map.sheet === null ? "line" : "row";
  const doubts: Doubt[] = [];
  const sentinels = new Map<number, number>();
  const words = new Map<string, { line: number; column: number; count: number }>();
  for (const { index, use } of map.columns) {
    if (use.kind !== "region" && use.kind !== "channel" && use.kind !== "value") continue;
    const numbers = numbersPerColumn[index] ?? [];
    const middle = median(numbers);
    for (const sentinel of usualSentinels) {
      if (use.kind === "channel" && Math.abs(sentinel) < 99) continue;
      if (Math.abs(sentinel - middle) > Math.max(20, Math.abs(middle) * 0.6) && numbers.includes(sentinel)) {
        if (!sentinels.has(sentinel)) sentinels.set(sentinel, index);
      }
    }
    for (const row of data) {
      const text = row.cells[index] ?? "";
      if (row.shapes[index] !== "text") continue;
      const word = words.get(text);
      if (word === undefined) words.set(text, { line: row.line, column: index, count: 1 });
      else word.count++;
    }
  }
  for (const [sentinel, column] of sentinels) {
    doubts.push({
      kind: "sentinel",
      field: "missing.sentinels",
      line: null,
      column,
      guessed: "a value",
      alternatives: [String(sentinel)],
      reason: `${sentinel} occurs among quite different values: it may stand for "no value". It is read as a value unless you declare it.`,
    });
  }
  for (const [word, { line, column, count }] of [...words].slice(0, 20)) {
    doubts.push({
      kind: "unknown word",
      field: "missing.words",
      line,
      column,
      guessed: "unreadable",
      alternatives: [word.slice(0, 60)],
      reason: `"${word.slice(0, 60)}" stands in a number column (${count === 1 ? "once" : `${count} times`} at the beginning of the file, first on ${place} ${line}); it is counted as unreadable unless you add it to the missing-value words.`,
    });
  }
  return doubts;
}
