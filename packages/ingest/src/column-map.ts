import type { Statistic } from "@acral/analysis/skin";
import { z } from "zod";
import { channels } from "./channels";

/**
 * How a kind of source file is to be read. Column indexes count from 0; lines count from 1, as a text editor shows them.
 * Detection proposes a column map, a person corrects it, and the reader does exactly what it says.
 */

export const encodings = ["utf-8", "utf-16le", "utf-16be", "windows-1252", "iso-8859-1"] as const;
export type Encoding = (typeof encodings)[number];

/** "spaces": any run of spaces or tabs; "wide spaces": two spaces or more, so that names may hold single ones. */
export const delimiters = [",", ";", "\t", "|", "spaces", "wide spaces"] as const;
export type Delimiter = (typeof delimiters)[number];

export const decimalMarks = [".", ","] as const;
export type DecimalMark = (typeof decimalMarks)[number];

/** " " stands for every kind of space (plain, no-break, thin). */
export const digitGroupings = [",", ".", " ", "'"] as const;
export type DigitGrouping = (typeof digitGroupings)[number];

export const statistics = [
  "mean",
  "maximum",
  "minimum",
  "standard deviation",
  "point",
] as const satisfies readonly Statistic[];

/**
 * - number: time elapsed as a plain number, in `unit`
 * - elapsed: h:mm:ss(.fff) or m:ss(.fff), counted from the start, may pass 24 h
 * - clock: time of day, hh:mm(:ss(.fff)), 24 or 12 hours; past midnight it goes on
 * - date and time: in one column or two (date, time); ISO 8601 is the year-month-day order
 * - spreadsheet serial: days since the spreadsheet's epoch
 * - unix: time since 1970-01-01T00:00Z, in `unit`
 * - frame number: needs `frameRate`
 */
export const timeFormats = [
  "number",
  "elapsed",
  "clock",
  "date and time",
  "spreadsheet serial",
  "unix",
  "frame number",
] as const;
export type TimeFormat = (typeof timeFormats)[number];

export const timeUnits = ["s", "ms", "min", "h"] as const;
export type TimeUnit = (typeof timeUnits)[number];

export const dateOrders = ["year-month-day", "day-month-year", "month-day-year"] as const;
export type DateOrder = (typeof dateOrders)[number];

const columnIndex = z.int().min(0);
const lineNumber = z.int().min(1);

export const timeSchema = z.object({
  /** One column, or two: date first, time of day second. Empty when detection found none: nothing can be read then. */
  columns: z.array(columnIndex).max(2),
  format: z.enum(timeFormats),
  unit: z.enum(timeUnits),
  dateOrder: z.enum(dateOrders),
  /** Frames per second; only "frame number" uses it. */
  frameRate: z.number().positive().nullable(),
  /** Offset from UTC ("Z", "+02:00") of times that do not state theirs; null: not known. */
  zone: z
    .string()
    .regex(/^(Z|[+-]\d{2}:\d{2})$/)
    .nullable(),
  /** The day of the recording (YYYY-MM-DD), when the column does not have it; null: not known. */
  date: z.iso.date().nullable(),
  /** The time of day (hh:mm:ss) of the file's zero, when the column only counts from it; null: not known. */
  clock: z.iso.time().nullable().default(null),
  /** First day of the spreadsheet's count. */
  serialEpoch: z.union([z.literal(1900), z.literal(1904)]),
});

export const targetSchema = z.discriminatedUnion("kind", [
  z.object({ kind: z.literal("region"), regionId: z.string().min(1), statistic: z.enum(statistics) }),
  z.object({ kind: z.literal("channel"), channel: z.enum(channels) }),
]);

const ignoreSchema = z.object({ kind: z.literal("ignore") });

export const columnUseSchema = z.discriminatedUnion("kind", [
  ...targetSchema.options,
  z.object({ kind: z.literal("time") }),
  ignoreSchema,
  /** Long layout: text that, with the other key columns, says which series the row belongs to. */
  z.object({ kind: z.literal("key") }),
  /** Long layout: the number. */
  z.object({ kind: z.literal("value") }),
]);
export type ColumnUse = z.infer<typeof columnUseSchema>;

export const columnSchema = z.object({
  index: columnIndex,
  /** The name as the header has it (header rows joined by a space); "" without header. Checked at reading. */
  name: z.string(),
  use: columnUseSchema,
  /** Unit of the numbers in the file, such as "°C", "°F", "K", "/min", "W", "%"; null where none applies. */
  unit: z.string().nullable(),
});
export type MappedColumn = z.infer<typeof columnSchema>;

/** Long layout: the texts of the key columns in column order (in blocks: title and name), and the value column, make one series. */
export const seriesSchema = z.object({
  key: z.array(z.string()).min(1),
  valueColumn: columnIndex,
  use: z.discriminatedUnion("kind", [...targetSchema.options, ignoreSchema]),
  unit: z.string().nullable(),
});
export type MappedSeries = z.infer<typeof seriesSchema>;

/**
 * - wide: one row per time, one column per trace
 * - long: one row per time and series; key columns name the series
 * - blocks: one table below the other under the same names of their time; the line above a header, and the names in it, say
 *   what the block holds. The key of a series is the title (or "") and the name of its column
 */
export const layouts = ["wide", "long", "blocks"] as const;

export const columnMapSchema = z.object({
  version: z.literal(1),
  /** The sheet of a workbook; null: the file is text. Encoding, delimiter and quote say nothing in a workbook. */
  sheet: z.string().min(1).nullable().default(null),
  encoding: z.enum(encodings),
  delimiter: z.enum(delimiters),
  decimalMark: z.enum(decimalMarks),
  digitGrouping: z.enum(digitGroupings).nullable(),
  quote: z.enum(['"', "'"]).nullable(),
  /** Lines that hold the header, top down; none: the file has no header. */
  headerLines: z.array(lineNumber).max(4),
  firstDataLine: lineNumber,
  layout: z.enum(layouts),
  time: timeSchema,
  /** Every column of the file, in order. */
  columns: z.array(columnSchema).min(1),
  /** Series of a long layout or of blocks; empty in a wide one. */
  series: z.array(seriesSchema),
  missing: z.object({
    /** Compared without regard to case and outer spaces. An empty cell is always missing. */
    words: z.array(z.string().min(1)),
    /** Numbers that mean "no value". Only ever declared by a person. */
    sentinels: z.array(z.number()),
  }),
  /** A cell that is neither a number nor a missing-value word: counted and located as missing, or refuses the file. */
  unreadable: z.enum(["missing", "refuse"]),
  decidedBy: z.enum(["detection", "person"]),
});
export type ColumnMap = z.infer<typeof columnMapSchema>;
