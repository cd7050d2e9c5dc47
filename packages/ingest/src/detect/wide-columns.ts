import type { MappedColumn } from "../column-map";
import type { ColumnGuess, Doubt } from "../detection";
import { matchColumn, type NameContext } from "../match/match-column";
import type { ShapedRow } from "./find-table";
import type { NumberFormat } from "./guess-number-format";
import { guessUnit } from "./guess-unit";
import type { PreambleFacts } from "./preamble-facts";

export interface ColumnsInput {
  data: readonly ShapedRow[];
  parts: readonly (readonly string[])[];
  columnCount: number;
  format: NumberFormat;
  /** Numbers of the data, per column. */
  numbers: readonly (readonly number[])[];
  facts: PreambleFacts;
  timeColumns: readonly number[];
}

export interface ColumnsGuess {
  columns: MappedColumn[];
  guesses: ColumnGuess[];
  doubts: Doubt[];
}

export function nameContext(facts: PreambleFacts): NameContext {
  return { defaultStatistic: facts.contactSensors ? "point" : "mean" };
}

export function targetKey(use: MappedColumn["use"]): string | null {
  if (use.kind === "region") return `${use.regionId} ${use.statistic}`;
  return use.kind === "channel" ? use.channel : null;
}

/** What each column of a wide layout holds. */
export function wideColumns(input: ColumnsInput): ColumnsGuess {
  const result: ColumnsGuess = { columns: [], guesses: [], doubts: [] };
  const taken = new Map<string, number>();
  for (let index = 0; index < input.columnCount; index++) {
    const parts = input.parts[index] ?? [];
    const name = parts.join(" ");
    if (input.timeColumns.includes(index)) {
      result.columns.push({ index, name, use: { kind: "time" }, unit: null });
      continue;
    }
    const numbers = input.numbers[index] ?? [];
    const { column, guess, doubts } = wideColumn(input, index, parts, numbers);
    const key = targetKey(column.use);
    const before = key === null ? undefined : taken.get(key);
    if (key !== null && before !== undefined) {
      doubts.push({
        kind: "same target twice",
        field: `columns.${index}.use`,
        line: null,
        column: index,
        guessed: "left out",
        alternatives: [key],
        reason: `Column ${index + 1} ("${name}") seems to be the same as column ${before + 1}: ${key}.`,
      });
      column.use = { kind: "ignore" };
      guess.use = column.use;
      guess.confidence = 0.2;
    } else if (key !== null) taken.set(key, index);
    result.columns.push(column);
    result.guesses.push(guess);
    result.doubts.push(...doubts);
  }
  return result;
}

function wideColumn(
  input: ColumnsInput,
  index: number,
  parts: readonly string[],
  numbers: readonly number[],
): { column: MappedColumn; guess: ColumnGuess; doubts: Doubt[] } {
  const name = parts.join(" ");
  const match = matchColumn(parts, nameContext(input.facts));
  const field = `columns.${index}`;
  const filled = input.data.filter(
    (row) => !["empty", "missing"].includes(row.shapes[index] ?? "empty"),
  ).length;
  const isText = filled > 0 && numbers.length < 0.5 * filled;
  let { use, confidence, reason } = match;
  const doubts: Doubt[] = [];
  if (isText) {
    use = { kind: "ignore" };
    confidence = match.use.kind === "ignore" ? 0.9 : 0.4;
    reason = "it holds text";
  }
  let unit: string | null = null;
  if (use.kind === "ignore") {
    if (!isText && filled > 0) {
      doubts.push(
        ...match.doubts.map((doubt) => ({ ...doubt, field: `${field}.use`, line: null, column: index })),
      );
      if (match.doubts.length === 0) doubts.push(notRecognised(field, index, name));
    } else if (isText && match.use.kind !== "ignore") doubts.push(notRecognised(field, index, name));
  } else {
    doubts.push(
      ...match.doubts.map((doubt) => ({ ...doubt, field: `${field}.use`, line: null, column: index })),
    );
    const stated = match.unit ?? (isTemperature(use) ? input.facts.temperatureUnit : null);
    const guessed = guessUnit(use, stated, numbers, { field, column: index });
    unit = guessed.unit;
    reason += `; ${guessed.reason}`;
    doubts.push(...guessed.doubts);
    if (guessed.doubts.length > 0) confidence *= 0.7;
  }
  return {
    column: { index, name, use, unit },
    guess: { column: index, key: null, use, confidence: Math.round(confidence * 100) / 100, reason },
    doubts,
  };
}

function isTemperature(use: MappedColumn["use"]): boolean {
  return use.kind === "region" || (use.kind === "channel" && use.channel.includes("temperature"));
}

function notRecognised(field: string, index: number, name: string): Doubt {
  return {
    kind: "column not recognised",
    field: `${field}.use`,
    line: null,
    column: index,
    guessed: "left out",
    alternatives: [],
    reason:
      name === ""
        ? `Column ${index + 1} has no name, so what it holds has to be said by hand.`
        : `"${name.slice(0, 80)}" names no region or channel that is known; the column is left out.`,
  };
}
