import { SourceFileError } from "../source-file-error";

export function tooManyValues(line: number, rows: number): SourceFileError {
  return new SourceFileError(
    "too-large",
    `The file has more than ${rows.toLocaleString("en")} rows with this many columns, more than can be held. Leave columns out, or split the recording and upload its parts.`,
    { line },
  );
}
