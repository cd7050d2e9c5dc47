import { powersOfTen } from "../parse/powers-of-ten";
import type { RowScanner, RowSink } from "./row-scanner";
import { CELL_START as cellStartState, CR as cr, LF as lf, ROW_START as rowStartState } from "./scan-state";

// Copies, as in scan-delimited.
const LF = lf;
const CR = cr;
const CELL_START = cellStartState;
const ROW_START = rowStartState;
const MINUS = 0x2d;
const ZERO = 0x30;

/** Digits that a 32-bit integer gathers without overflow; longer numbers are read from their cells. */
const mostDigits = 9;

/**
 * Scans cells that are empty or plain decimals ("31.5", "-4"), from the beginning of a cell on, and reads their numbers in
 * the same pass. It stops, and returns where, at the beginning of the first cell that is anything else or that the buffer
 * does not hold whole: that one is for the general scanner. Numbers are the nearest doubles, as `DecimalReader` reads
 * them: a whole number below 10^9 divided once by a power of ten.
 */
export function scanPlainCells(scanner: RowScanner, from: number, delimiter: number, sink: RowSink): number {
  const { bytes, filled, markByte } = scanner;
  let { starts, ends, doubled, numbers, scales } = scanner;
  let index = scanner.cellCount;
  let start = from;

  while (index < starts.length) {
    let p = start;
    let digit = (bytes[p] as number) - ZERO;
    let negative = false;
    if (digit === MINUS - ZERO) {
      negative = true;
      digit = (bytes[++p] as number) - ZERO;
    }
    const firstDigit = p;
    let whole = 0;
    while (digit >= 0 && digit <= 9) {
      whole = (Math.imul(whole, 10) + digit) | 0;
      digit = (bytes[++p] as number) - ZERO;
    }
    let digits = p - firstDigit;
    let scale = 0;
    if (digit + ZERO === markByte) {
      digit = (bytes[++p] as number) - ZERO;
      const firstDecimal = p;
      while (digit >= 0 && digit <= 9) {
        whole = (Math.imul(whole, 10) + digit) | 0;
        digit = (bytes[++p] as number) - ZERO;
      }
      scale = p - firstDecimal;
      digits += scale;
    }
    const byte = digit + ZERO;
    if (p >= filled || digits > mostDigits || (digits === 0 && p !== start)) break;
    if (byte !== delimiter && byte !== LF && byte !== CR) break;

    starts[index] = start;
    ends[index] = p;
    doubled[index] = 0;
    scales[index] = scale;
    if (digits === 0) numbers[index] = Number.NaN;
    else {
      const value = whole / (powersOfTen[scale] as number);
      numbers[index] = negative ? -value : value;
    }
    index++;
    start = p + 1;
    if (byte === delimiter) continue;

    scanner.cellCount = index;
    scanner.terminated = true;
    scanner.afterCr = byte === CR;
    scanner.endRow(start, sink);
    // The sink may have been given rows for the first time and the cells may have grown: look again.
    ({ starts, ends, doubled, numbers, scales } = scanner);
    index = 0;
    if (scanner.afterCr && start < filled) {
      scanner.afterCr = false;
      if (bytes[start] === LF) {
        start++;
        scanner.rowStart = start;
        scanner.cellStart = start;
      }
    }
    if (start === filled) {
      scanner.state = ROW_START;
      return start;
    }
  }
  scanner.cellCount = index;
  scanner.cellStart = start;
  scanner.state = CELL_START;
  return start;
}
