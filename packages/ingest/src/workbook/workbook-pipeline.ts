import { isZip, refuseArchive, refuseContainer } from "../decode/container";
import type { ReadLimits } from "../limits";
import type { RowSink } from "../scan/row-scanner";
import { SourceFileError } from "../source-file-error";
import { openWorkbook, readCellContext, sheetNamed, unpackXml } from "./open-workbook";
import { type SheetOptions, SheetRows } from "./sheet-rows";

/** The bytes of a workbook as they arrive; its directory stands at its end, so that nothing can be done before. */
export class WorkbookBytes {
  length = 0;
  private chunks: Uint8Array[] = [];

  constructor(private readonly limits: ReadLimits) {}

  push(chunk: Uint8Array): void {
    this.length += chunk.length;
    if (this.length > this.limits.maxWorkbookBytes) throw workbookTooLarge(this.limits);
    this.chunks.push(chunk.slice());
  }

  /** All bytes in one piece; what was gathered is let go. */
  take(): Uint8Array {
    const { chunks } = this;
    this.chunks = [];
    const [only] = chunks;
    if (chunks.length === 1 && only !== undefined) return only;
    const all = new Uint8Array(this.length);
    let at = 0;
    for (const chunk of chunks) {
      all.set(chunk, at);
      at += chunk.length;
    }
    return all;
  }
}

export function workbookTooLarge(limits: ReadLimits): SourceFileError {
  return new SourceFileError(
    "too-large",
    `The workbook is larger than ${Math.round(limits.maxWorkbookBytes / 2 ** 20)} MiB, more than is opened at once. Export the sheet with the recording as CSV, which has no such limit, and upload that file.`,
  );
}

/** Bytes of a workbook in, rows of one of its sheets out. */
export class WorkbookPipeline {
  readonly compressed = true;
  textBytes = 0;
  rows: SheetRows | null = null;
  private readonly gathered: WorkbookBytes;

  constructor(
    private readonly sheet: string,
    private readonly options: Omit<SheetOptions, "epoch">,
    private readonly sink: RowSink,
    /** The row after which nothing more is wanted. */
    private readonly lastRow = Number.POSITIVE_INFINITY,
  ) {
    this.gathered = new WorkbookBytes(options.limits);
  }

  get bytes(): number {
    return this.gathered.length;
  }

  push(chunk: Uint8Array): void {
    this.gathered.push(chunk);
  }

  /** Does the work in small steps. */
  *finish(): Generator<void> {
    const bytes = this.gathered.take();
    if (bytes.length === 0) {
      throw new SourceFileError(
        "empty-file",
        "The file is empty: it holds no bytes at all. Export it again.",
      );
    }
    if (!isZip(bytes)) {
      refuseContainer(bytes);
      throw new SourceFileError(
        "bad-column-map",
        `The column map is for the sheet "${this.sheet}" of a workbook, but this file is none. Detect the columns of this file anew.`,
      );
    }
    refuseArchive(bytes);
    const { limits } = this.options;
    const workbook = openWorkbook(bytes, limits);
    const sheet = sheetNamed(workbook, this.sheet);
    const context = yield* readCellContext(workbook);
    const rows = new SheetRows({ ...this.options, epoch: workbook.epoch }, context, this.sink);
    this.rows = rows;
    const unpacking = unpackXml(bytes, sheet.entry, limits, rows, (length) => {
      this.textBytes += length;
    });
    while (rows.scanner.line <= this.lastRow && !unpacking.next().done) yield;
  }
}
