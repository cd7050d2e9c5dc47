import { SourceFileError } from "../source-file-error";

export function damagedWorkbook(what: string): SourceFileError {
  return new SourceFileError(
    "damaged-workbook",
    `The workbook is damaged: ${what}. Open it in your spreadsheet program and save it again as XLSX, or export the sheet as CSV.`,
  );
}
