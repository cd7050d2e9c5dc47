import type { MappedColumn, MappedSeries } from "../column-map";
import type { ColumnGuess, Doubt } from "../detection";
import { channelMeanings } from "../match/channel-words";
import { matchColumn } from "../match/match-column";
import { readRegionWords } from "../match/match-region";
import { plainText } from "../match/normalise-name";
import { splitUnit } from "../match/split-unit";
import type { ShapedRow } from "./find-table";
import { guessUnit } from "./guess-unit";
import { numberReader, numbersOfRows } from "./number-columns";
import { type ColumnsInput, nameContext, targetKey } from "./wide-columns";

/** How the columns of a long layout are used; null when the file is no long layout. */
export interface LongLayout {
  keyColumns: number[];
  valueColumns: number[];
}

const valueWords =
  /value|wert|valeur|valor|waarde|valore|temp|messwert|reading|result|mean|max|min|avg|mittel|moyenne|media|gemiddeld/;

/** A file is long when text columns name several regions, statistics or channels over and over. */
export function findLongLayout(input: ColumnsInput): LongLayout | null {
  const keyColumns: number[] = [];
  let namesSeries = false;
  for (let column = 0; column < input.columnCount; column++) {
    if (input.timeColumns.includes(column)) continue;
    const texts = new Map<string, number>();
    let filled = 0;
    for (const row of input.data) {
      const text = row.cells[column] ?? "";
      if (text === "") continue;
      filled++;
      if (row.shapes[column] === "text" || row.shapes[column] === "missing")
        texts.set(text, (texts.get(text) ?? 0) + 1);
    }
    if (namesTarget(input, column)) return null;
    const total = [...texts.values()].reduce((sum, count) => sum + count, 0);
    if (filled === 0 || total < 0.9 * filled || texts.size === 0 || total < 2 * texts.size) continue;
    const known = [...texts.keys()].filter(isSeriesWord);
    if (known.length < 0.5 * texts.size) continue;
    keyColumns.push(column);
    if (known.some((text) => readRegionWords(text).site !== null || channelMeanings.has(plainText(text))))
      namesSeries = true;
  }
  if (!namesSeries) return null;
  const valueColumns = numberColumns(input, keyColumns);
  return valueColumns.length === 0 ? null : { keyColumns, valueColumns };
}

/** A number column whose name is a region already: the layout is wide, whatever its text columns say. */
function namesTarget(input: ColumnsInput, column: number): boolean {
  if (matchColumn(input.parts[column] ?? [], nameContext(input.facts)).use.kind !== "region") return false;
  return (input.numbers[column] ?? []).length >= 0.5 * input.data.length;
}

function isSeriesWord(text: string): boolean {
  const { name, known } = splitUnit(text);
  if (known && name === "") return true;
  const reading = readRegionWords(name);
  return (
    reading.site !== null ||
    (reading.unknown.length === 0 && (reading.statistic ?? reading.side) !== null) ||
    matchColumn([text], { defaultStatistic: "mean" }).use.kind !== "ignore" ||
    /^(whole|palmar|dorsal|plantar|anterior|posterior|medial|lateral)$/i.test(text)
  );
}

function numberColumns(input: ColumnsInput, keyColumns: readonly number[]): number[] {
  const numeric: number[] = [];
  for (let column = 0; column < input.columnCount; column++) {
    if (input.timeColumns.includes(column) || keyColumns.includes(column)) continue;
    if ((input.numbers[column] ?? []).length >= 0.5 * input.data.length) numeric.push(column);
  }
  if (numeric.length <= 1) return numeric;
  const named = numeric.filter((column) => valueWords.test(plainText(input.parts[column]?.join(" ") ?? "")));
  return named.length > 0 ? named : numeric.slice(-1);
}

export interface LongGuess {
  columns: MappedColumn[];
  series: MappedSeries[];
  guesses: ColumnGuess[];
  doubts: Doubt[];
}

/** What each series of a long layout is; `keys` are all key texts of the file, in order of appearance. */
export function longSeries(
  input: ColumnsInput,
  layout: LongLayout,
  keys: readonly (readonly string[])[],
): LongGuess {
  const result = seriesOf(
    input,
    longColumns(input, layout),
    keys.flatMap((key) => layout.valueColumns.map((valueColumn) => ({ key, valueColumn }))),
    layout,
  );
  for (const { index, name, use } of result.columns) {
    if (use.kind !== "ignore" || (input.numbers[index] ?? []).length === 0) continue;
    result.doubts.push({
      kind: "column not recognised",
      field: `columns.${index}.use`,
      line: null,
      column: index,
      guessed: "left out",
      alternatives: ["value"],
      reason: `Column ${index + 1} ("${name}") holds numbers too, but does not seem to be the value.`,
    });
  }
  return result;
}

/** What each of these series is. Without `layout` the names of the values belong to the keys already. */
export function seriesOf(
  input: ColumnsInput,
  columns: MappedColumn[],
  keys: readonly { key: readonly string[]; valueColumn: number }[],
  layout: LongLayout | null = null,
): LongGuess {
  const result: LongGuess = { columns, series: [], guesses: [], doubts: [] };
  const taken = new Set<string>();
  for (const { key, valueColumn } of keys) addSeries(input, layout, key, valueColumn, taken, result);
  return result;
}

function longColumns(input: ColumnsInput, layout: LongLayout): MappedColumn[] {
  return Array.from({ length: input.columnCount }, (_, index): MappedColumn => {
    const name = input.parts[index]?.join(" ") ?? "";
    const column = (use: MappedColumn["use"]): MappedColumn => ({ index, name, use, unit: null });
    if (input.timeColumns.includes(index)) return column({ kind: "time" });
    if (layout.keyColumns.includes(index)) return column({ kind: "key" });
    return column(layout.valueColumns.includes(index) ? { kind: "value" } : { kind: "ignore" });
  });
}

function addSeries(
  input: ColumnsInput,
  layout: LongLayout | null,
  key: readonly string[],
  valueColumn: number,
  taken: Set<string>,
  result: LongGuess,
): void {
  const valueName = layout === null ? [] : (input.parts[valueColumn] ?? []);
  const several = layout !== null && layout.valueColumns.length > 1;
  // "Temperature [°C]" over the values states the unit of all; several value columns also state the statistic.
  const match = matchColumn(several ? [...key, ...valueName] : key, nameContext(input.facts));
  const position = result.series.length;
  const field = `series.${position}`;
  let { use } = match;
  const doubts: Doubt[] = match.doubts.map((doubt) => ({
    ...doubt,
    field: `${field}.use`,
    line: null,
    column: valueColumn,
  }));
  if (use.kind === "ignore" && doubts.length === 0) {
    doubts.push({
      kind: "column not recognised",
      field: `${field}.use`,
      line: null,
      column: valueColumn,
      guessed: "left out",
      alternatives: [],
      reason: `"${key.join(" ").trim()}" names no region or channel that is known; the series is left out.`,
    });
  }
  const target = targetKey(use);
  if (target !== null && taken.has(target)) {
    doubts.push({
      kind: "same target twice",
      field: `${field}.use`,
      line: null,
      column: valueColumn,
      guessed: "left out",
      alternatives: [target],
      reason: `"${key.join(" ")}" seems to be the same as another series: ${target}.`,
    });
    use = { kind: "ignore" };
  } else if (target !== null) taken.add(target);
  let unit: string | null = null;
  let { reason } = match;
  if (use.kind !== "ignore") {
    const temperature = use.kind === "region" || use.channel.includes("temperature");
    const overValues = valueName.map((part) => splitUnit(part).unit).find((text) => text !== null) ?? null;
    const stated = match.unit ?? (temperature ? (overValues ?? input.facts.temperatureUnit) : null);
    const guessed = guessUnit(use, stated, numbersOf(input, layout, key, valueColumn), {
      field,
      column: valueColumn,
    });
    unit = guessed.unit;
    reason += `; ${guessed.reason}`;
    doubts.push(...guessed.doubts);
  }
  result.series.push({ key: [...key], valueColumn, use, unit });
  result.guesses.push({
    column: valueColumn,
    key: [...key],
    use,
    confidence: use.kind === "ignore" ? 0 : match.confidence,
    reason,
  });
  result.doubts.push(...doubts);
}

function numbersOf(
  input: ColumnsInput,
  layout: LongLayout | null,
  key: readonly string[],
  valueColumn: number,
): readonly number[] {
  if (layout === null) return input.numbers[valueColumn] ?? [];
  const rows = input.data.filter((row: ShapedRow) =>
    layout.keyColumns.every((column, i) => row.cells[column] === key[i]),
  );
  return numbersOfRows(rows, valueColumn, numberReader(input.format));
}
