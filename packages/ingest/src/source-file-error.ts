/** Why a source file was refused. The union is closed: every refusal has one of these codes. */
export type SourceFileErrorCode =
  | "empty-file"
  | "binary-file"
  | "not-text"
  | "not-a-table"
  | "unsupported-container"
  | "damaged-gzip"
  | "damaged-workbook"
  | "no-such-sheet"
  | "blocks-differ"
  | "too-large"
  | "too-many-columns"
  | "line-too-long"
  | "unclosed-quote"
  | "encoding-differs"
  | "header-differs"
  | "no-time-column"
  | "frame-rate-missing"
  | "unknown-unit"
  | "unknown-region"
  | "nothing-to-read"
  | "no-data-rows"
  | "bad-number"
  | "bad-column-map";

/**
 * A source file that cannot be read, or not by this column map. `message` says what, where and what to do, in words
 * for a person; `line` and `column` count from 1, as a text editor shows them.
 */
export class SourceFileError extends Error {
  override readonly name = "SourceFileError";
  readonly code: SourceFileErrorCode;
  readonly line: number | undefined;
  readonly column: number | undefined;

  constructor(code: SourceFileErrorCode, message: string, where: { line?: number; column?: number } = {}) {
    super(message);
    this.code = code;
    this.line = where.line;
    this.column = where.column;
  }
}
