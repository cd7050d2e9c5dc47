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
  type TimeFormat,
  type TimeUnit,
  timeFormats,
  timeUnits,
} from "./column-map";
export { isWorkbook } from "./decode/container";
export { type DetectOptions, detectColumnMap } from "./detect/detect-column-map";
export { sheetKind } from "./detect/fingerprint";
export type { ColumnGuess, Detection, Doubt, DoubtKind, Preview, PreviewRow, SheetChoice } from "./detection";
export { defaultLimits, type ReadLimits } from "./limits";
export { readFirstRows } from "./read/read-first-rows";
export { readSourceFile } from "./read/read-source-file";
export { readSourceStream } from "./read/read-source-stream";
export { SourceReader } from "./read/source-reader";
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
export { canonicalUnit, channelUnits, unitsFor } from "./units";
