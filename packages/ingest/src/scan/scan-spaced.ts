import type { RowScanner, RowSink } from "./row-scanner";
import { skipQuoted } from "./scan-delimited";
import * as states from "./scan-state";

const { LF, CR, SPACE, TAB, ROW_START, CELL_START, IN_CELL, IN_QUOTE, QUOTE_SEEN, AFTER_QUOTE, SPACE_SEEN } =
  states;

/** Scans what is new in the buffer, where runs of spaces separate cells. */
export function scanSpaced(scanner: RowScanner, sink: RowSink): void {
  const { bytes, filled, quoteByte } = scanner;
  const wide = scanner.delimiter === "wide spaces";
  let p = scanner.position;
  let { state } = scanner;

  while (p < filled) {
    const byte = bytes[p] as number;
    switch (state) {
      case ROW_START:
        if (scanner.afterCr && byte === LF) {
          p++;
          scanner.rowStart = p;
        } else state = CELL_START;
        scanner.afterCr = false;
        break;

      case CELL_START:
        if (byte === SPACE || byte === TAB) p++;
        else if (byte === LF || byte === CR) {
          p++;
          state = endLine(scanner, sink, byte, p);
        } else if (byte === quoteByte) {
          p++;
          scanner.cellStart = p;
          state = IN_QUOTE;
        } else {
          scanner.cellStart = p;
          state = IN_CELL;
        }
        break;

      case IN_CELL:
        if (byte === SPACE || byte === TAB) {
          scanner.cellEnd = p;
          p++;
          if (wide && byte === SPACE) state = SPACE_SEEN;
          else {
            scanner.endCell(scanner.cellEnd);
            state = CELL_START;
          }
        } else if (byte === LF || byte === CR) {
          scanner.endCell(p);
          p++;
          state = endLine(scanner, sink, byte, p);
        } else if (byte === 0) throw scanner.nulByte();
        else p++;
        break;

      case SPACE_SEEN:
        if (byte === SPACE || byte === TAB || byte === LF || byte === CR) {
          scanner.endCell(scanner.cellEnd);
          state = CELL_START;
        } else state = IN_CELL;
        break;

      case IN_QUOTE:
        p = skipQuoted(scanner, p);
        if (p < filled) {
          scanner.cellEnd = p;
          p++;
          state = QUOTE_SEEN;
        }
        break;

      case QUOTE_SEEN:
      case AFTER_QUOTE:
        if (byte === quoteByte) {
          scanner.cellDoubled = 1;
          p++;
          state = IN_QUOTE;
        } else if (byte === SPACE || byte === TAB || byte === LF || byte === CR) {
          scanner.endCell(scanner.cellEnd);
          state = CELL_START;
        } else {
          scanner.cellStart--;
          scanner.cellDoubled = 0;
          state = IN_CELL;
        }
        break;
    }
  }
  scanner.position = p;
  scanner.state = state;
}

function endLine(scanner: RowScanner, sink: RowSink, byte: number, next: number): states.ScanState {
  scanner.afterCr = byte === CR;
  scanner.terminated = true;
  scanner.endRow(next, sink);
  return ROW_START;
}
