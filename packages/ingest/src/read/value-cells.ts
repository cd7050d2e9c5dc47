import type { ColumnMap } from "../column-map";
import { cellEncoding } from "../decode/text-bytes";
import { DecimalReader } from "../parse/decimal";
import { powersOfTen } from "../parse/powers-of-ten";
import type { CellPlace, MissingValues, TraceTarget } from "../read-result";
import type { RowScanner } from "../scan/row-scanner";
import { SourceFileError } from "../source-file-error";
import { unitConversion, unitsFor } from "../units";
import { listed } from "./row-tally";

/** A column or series whose numbers are wanted, with what was missing in it so far. */
export interface ValueColumn {
  column: number;
  name: string;
  target: TraceTarget;
  unit: string;
  /** The unit as the column map has it; may stand behind the numbers. */
  writtenUnit: string;
  /** True when the file's numbers are already in the canonical unit. */
  same: boolean;
  factor: number;
  offset: number;
  divisor: number;
  missing: number;
  sentinels: number;
  unreadable: number;
  unreadableCells: CellPlace[];
}

export function valueColumn(
  column: number,
  name: string,
  target: TraceTarget,
  unit: string | null,
): ValueColumn {
  const named = name === "" ? `column ${column + 1}` : `column ${column + 1} ("${name}")`;
  const conversion = unit === null ? null : unitConversion(target, unit);
  if (conversion === null) {
    throw new SourceFileError(
      "unknown-unit",
      `${unit === null ? `The unit of ${named} is not known` : `The unit "${unit}" of ${named} is not one that can be converted`}. Choose one of ${unitsFor(target).join(", ")} in the column map, or leave the column out.`,
      { column: column + 1 },
    );
  }
  const { factor, offset, divisor } = conversion;
  return {
    column,
    name,
    target,
    unit: conversion.unit,
    writtenUnit: unit ?? "",
    same: factor === 1 && offset === 0 && divisor === 1,
    factor,
    offset,
    divisor,
    missing: 0,
    sentinels: 0,
    unreadable: 0,
    unreadableCells: [],
  };
}

export function missingValuesOf(column: ValueColumn): MissingValues {
  const { missing, sentinels, unreadable, unreadableCells, name } = column;
  return { column: column.column, name, missing, sentinels, unreadable, unreadableCells };
}

/** Reads the number of a cell in the canonical unit; what is no number is missing, counted and located, or refused. */
export class ValueCells {
  /** Decimals of the number read last. */
  lastScale = 0;
  private readonly decimal: DecimalReader;
  private readonly encoding: ReturnType<typeof cellEncoding>;
  private readonly words: ReadonlySet<string>;
  private readonly sentinels: readonly number[];
  private readonly refuse: boolean;

  constructor(map: ColumnMap) {
    this.encoding = cellEncoding(map.encoding);
    this.decimal = new DecimalReader(map.decimalMark, map.digitGrouping, this.encoding);
    this.words = new Set(map.missing.words.map((word) => word.trim().toLowerCase()));
    this.sentinels = map.missing.sentinels;
    this.refuse = map.unreadable === "refuse";
  }

  /** True when the numbers that the scanner read in passing are the values, without conversion or sentinel. */
  asScanned(wanted: ValueColumn): boolean {
    return wanted.same && this.sentinels.length === 0;
  }

  read(row: RowScanner, wanted: ValueColumn): number {
    const index = wanted.column;
    if (index >= row.cellCount) {
      wanted.missing++;
      return Number.NaN;
    }
    const plain = row.numbers[index] as number;
    if (!Number.isNaN(plain)) {
      const scale = row.scales[index] as number;
      // Below 10^9, so that the product is nearest to the digits as a whole number.
      return this.take(wanted, plain, Math.round(plain * (powersOfTen[scale] as number)), scale);
    }
    const { decimal } = this;
    const start = row.starts[index] as number;
    const end = row.ends[index] as number;
    if (start === end) {
      wanted.missing++;
      return Number.NaN;
    }
    const value = decimal.read(row.bytes, start, end, wanted.writtenUnit);
    if (Number.isNaN(value)) return this.notANumber(row, wanted);
    return this.take(wanted, value, decimal.exact ? decimal.mantissa : Number.NaN, decimal.scale);
  }

  /** `mantissa` / 10^`scale` is `value` exactly, or `mantissa` is NaN. */
  private take(wanted: ValueColumn, value: number, mantissa: number, scale: number): number {
    this.lastScale = scale;
    if (this.sentinels.length > 0 && this.sentinels.includes(value)) {
      wanted.missing++;
      wanted.sentinels++;
      return Number.NaN;
    }
    if (wanted.same) return value;
    const { factor, offset, divisor } = wanted;
    const power = powersOfTen[scale] as number;
    const numerator = mantissa * factor + offset * power;
    const denominator = divisor * power;
    if (Number.isSafeInteger(numerator) && Number.isSafeInteger(denominator)) return numerator / denominator;
    return (value * factor + offset) / divisor;
  }

  private notANumber(row: RowScanner, wanted: ValueColumn): number {
    const text = row.text(wanted.column, this.encoding);
    wanted.missing++;
    if (text === "" || this.words.has(text.toLowerCase())) return Number.NaN;
    if (this.refuse) {
      throw new SourceFileError(
        "bad-number",
        `Line ${row.line}, column ${wanted.column + 1} ("${wanted.name}") holds "${shortened(text)}", which is not a number. Mend the file, add the word to the missing-value words, or let unreadable cells count as missing.`,
        { line: row.line, column: wanted.column + 1 },
      );
    }
    wanted.unreadable++;
    if (wanted.unreadableCells.length < listed) {
      wanted.unreadableCells.push({ line: row.line, text: shortened(text) });
    }
    return Number.NaN;
  }
}

function shortened(text: string): string {
  return text.length <= 60 ? text : `${text.slice(0, 59)}…`;
}
