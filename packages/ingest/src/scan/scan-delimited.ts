import type { RowScanner, RowSink } from "./row-scanner";
import { scanPlainCells } from "./scan-plain-cells";
import * as states from "./scan-state";

const ordinary = 0;
// Copies, because a bundler may turn each use of an imported constant into a call, and these are used for every cell.
const { LF, CR, SPACE, ROW_START, CELL_START, IN_CELL, IN_QUOTE, QUOTE_SEEN, AFTER_QUOTE, SPACE_SEEN } =
  states;
const classTables = new Map<number, Uint8Array>();

/** Which bytes end a run of ordinary ones: the delimiter, line breaks and NUL. */
function classesFor(delimiter: number): Uint8Array {
  let classes = classTables.get(delimiter);
  if (classes === undefined) {
    classes = new Uint8Array(256);
    classes[0] = 1;
    classes[LF] = 1;
    classes[CR] = 1;
    classes[delimiter] = 1;
    classTables.set(delimiter, classes);
  }
  return classes;
}

/** Scans what is new in the buffer, where one byte separates cells. */
export function scanDelimited(scanner: RowScanner, sink: RowSink): void {
  const { bytes, filled, quoteByte } = scanner;
  const delimiter = scanner.delimiter.charCodeAt(0);
  const classes = classesFor(delimiter);
  let p = scanner.position;
  let { state } = scanner;

  while (p < filled) {
    switch (state) {
      case ROW_START:
        if (scanner.afterCr) {
          scanner.afterCr = false;
          if (bytes[p] === LF) {
            p++;
            scanner.rowStart = p;
          }
        }
        scanner.cellStart = p;
        if (p < filled) state = CELL_START;
        break;

      case CELL_START: {
        if (scanner.markByte >= 0 && p === scanner.cellStart) {
          p = scanPlainCells(scanner, p, delimiter, sink);
          if (p === filled) {
            ({ state } = scanner);
            break;
          }
        }
        const byte = bytes[p] as number;
        if (byte === quoteByte) {
          p++;
          scanner.cellStart = p;
          state = IN_QUOTE;
        } else if (byte === SPACE) p++;
        else state = IN_CELL;
        break;
      }

      case IN_CELL: {
        while (p < filled && classes[bytes[p] as number] === ordinary) p++;
        if (p === filled) break;
        const byte = bytes[p] as number;
        if (byte === 0) throw scanner.nulByte();
        scanner.endCell(p);
        p++;
        if (byte === delimiter) {
          scanner.cellStart = p;
          state = CELL_START;
        } else {
          scanner.afterCr = byte === CR;
          scanner.terminated = true;
          scanner.endRow(p, sink);
          state = ROW_START;
        }
        break;
      }

      case IN_QUOTE:
        p = skipQuoted(scanner, p);
        if (p < filled) {
          scanner.cellEnd = p;
          p++;
          state = QUOTE_SEEN;
        }
        break;

      case QUOTE_SEEN:
      case AFTER_QUOTE: {
        const byte = bytes[p] as number;
        if (byte === quoteByte && state === QUOTE_SEEN) {
          scanner.cellDoubled = 1;
          p++;
          state = IN_QUOTE;
        } else if (byte === delimiter || byte === LF || byte === CR) {
          scanner.endCell(scanner.cellEnd);
          p++;
          if (byte === delimiter) {
            scanner.cellStart = p;
            state = CELL_START;
          } else {
            scanner.afterCr = byte === CR;
            scanner.terminated = true;
            scanner.endRow(p, sink);
            state = ROW_START;
          }
        } else if (byte === SPACE) {
          p++;
          state = AFTER_QUOTE;
        } else {
          // Text after the closing quote: the quotes are part of the text.
          scanner.cellStart--;
          scanner.cellDoubled = 0;
          state = IN_CELL;
        }
        break;
      }

      case SPACE_SEEN:
        state = IN_CELL;
        break;
    }
  }
  scanner.position = p;
  scanner.state = state;
}

/** Moves to the next quote, counting the line breaks on the way. */
export function skipQuoted(scanner: RowScanner, from: number): number {
  const { bytes, filled, quoteByte } = scanner;
  let p = from;
  for (; p < filled; p++) {
    const byte = bytes[p] as number;
    if (byte === quoteByte) return p;
    if (byte === LF) {
      if (p === scanner.rowStart || bytes[p - 1] !== CR) scanner.innerBreaks++;
    } else if (byte === CR) scanner.innerBreaks++;
    else if (byte === 0) throw scanner.nulByte();
  }
  return p;
}
