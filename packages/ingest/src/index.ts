export { type Channel, channels } from "./channels";
export {
  type ColumnMap,
  type ColumnUse,
  columnMapSchema,
  type DateOrder,
  type DecimalMark,
  type Delimiter,
  type DigitGrouping,
  dateOrders,
  decimalMarks,
  delimiters,
  digitGroupings,
  type Encoding,
  encodings,
  type MappedColumn,
  type MappedSeries,
  statistics,
  type TimeFormat,
  type TimeUnit,
  timeFormats,
  timeUnits,
} from "./column-map";
export type { ColumnGuess, Detection, Doubt, DoubtKind, Preview, PreviewRow } from "./detection";
export type {
  CellPlace,
  MissingValues,
  ReadReport,
  ReadResult,
  ReadTrace,
  ReadWarning,
  RowReason,
  RowsNotUsed,
  TraceTarget,
  WarningKind,
} from "./read-result";
export { SourceFileError, type SourceFileErrorCode } from "./source-file-error";
