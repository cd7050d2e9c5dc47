import type { ColumnMap } from "../column-map";
import { cellEncoding } from "../decode/text-bytes";
import type { RowScanner } from "../scan/row-scanner";
import { SourceFileError } from "../source-file-error";
import { type ClockChange, ClockChanges } from "./clock-changes";
import { DateTimeReader } from "./date-time";
import { DecimalReader } from "./decimal";
import { powersOfTen } from "./powers-of-ten";

const daySeconds = 86_400;
const nanosPerSecond = 1e9;

/** Days from 1970-01-01 back to the day 0 of spreadsheet serials (ECMA-376 part 1, 18.17.4.1). */
const serialDayZero = { 1900: -25_569, 1904: -24_107 } as const;

/** 9999-12-31, the last day of spreadsheets (ECMA-376) and of four-digit years. */
const latestSerial = 2_958_465;
const latestMilliseconds = 253_402_300_800_000;

export type TimeOutcome = "read" | "empty" | "unreadable";

/** Seconds east of UTC of "Z" or "+02:00". */
function zoneSeconds(zone: string): number {
  if (zone === "Z") return 0;
  const sign = zone.startsWith("-") ? -1 : 1;
  return sign * (Number(zone.slice(1, 3)) * 3600 + Number(zone.slice(4, 6)) * 60);
}

/**
 * Reads the time of a row in seconds from the file's own origin. For elapsed times and frames that is the file's zero;
 * for clock times, dates, serials and Unix times it is the first row that has a time.
 */
export class TimeReader {
  seconds = Number.NaN;
  /** Whether this row is the first after a midnight. */
  crossedMidnight = false;
  /** Whether the clock was put forward or back just before this row. */
  clockChange: ClockChange = "none";
  /** How far a time may lie from an even spacing beyond the rounding of doubles, in s: only serials are rounded more. */
  tolerance = 0;

  private readonly time: ColumnMap["time"];
  private readonly inBlocks: boolean;
  private readonly decimal: DecimalReader;
  private readonly dateTime = new DateTimeReader();
  /** Only where consecutive rows are consecutive samples, and times of a clock whose zone nobody says. */
  private readonly clockChanges: ClockChanges | null;
  private started = false;
  private days = 0;
  private previous = 0;
  private originDay = 0;
  private originSecond = 0;
  private originNano = 0;
  private originHasDate = false;
  private originOffset = Number.NaN;
  private originValue = 0;
  private originMantissa = 0;
  private originScale = 0;
  private originExact = false;

  constructor(map: ColumnMap) {
    this.time = map.time;
    this.inBlocks = map.layout === "blocks";
    if (this.time.format === "frame number" && this.time.frameRate === null) {
      throw new SourceFileError(
        "frame-rate-missing",
        "The time column holds frame numbers, but the file does not say how many frames were taken per second. Enter the frame rate in the column map.",
        { column: (this.time.columns[0] ?? 0) + 1 },
      );
    }
    const { format, zone } = map.time;
    const local = (format === "clock" || format === "date and time") && zone === null;
    this.clockChanges = local && map.layout === "wide" ? new ClockChanges() : null;
    this.decimal = new DecimalReader(map.decimalMark, map.digitGrouping, cellEncoding(map.encoding));
  }

  read(row: RowScanner): TimeOutcome {
    this.crossedMidnight = false;
    this.clockChange = "none";
    const first = this.time.columns[0] ?? 0;
    const second = this.time.columns[1];
    if (isEmpty(row, first) || (second !== undefined && isEmpty(row, second))) return "empty";
    const read = this.readCell(row, first, second);
    if (read && Number.isFinite(this.seconds)) return "read";
    return "unreadable";
  }

  /** A header or a title stands before the next row: its time may go back without a midnight or a change of the clock. */
  beginAnew(): void {
    this.clockChanges?.beginAnew();
    if (this.time.format === "clock" && this.inBlocks) {
      this.days = 0;
      this.previous = Number.NaN;
    }
  }

  /** The origin as ISO 8601; null when the file has no date. */
  startedAt(): string | null {
    if (!this.started) return null;
    const { format, date } = this.time;
    if (format === "unix")
      return new Date(Math.round(this.originValue * this.unixMilliseconds())).toISOString();
    if (format === "spreadsheet serial") {
      const milliseconds = Math.round(
        (this.originValue + serialDayZero[this.time.serialEpoch]) * daySeconds * 1000,
      );
      return this.withZone(milliseconds, this.time.zone === null ? Number.NaN : zoneSeconds(this.time.zone));
    }
    if (countsFromZero(format)) {
      const { clock } = this.time;
      if (date === null || clock === null) return null;
      const offset = this.time.zone === null ? Number.NaN : zoneSeconds(this.time.zone);
      return this.withZone(Date.parse(`${date}T${withMilliseconds(clock)}Z`), offset);
    }
    if (format === "clock" && date !== null) this.originDay = Date.parse(`${date}T00:00:00Z`) / 86_400_000;
    else if (!this.originHasDate) return null;
    const milliseconds =
      (this.originDay * daySeconds + this.originSecond) * 1000 + Math.round(this.originNano / 1e6);
    return this.withZone(milliseconds, this.originOffset);
  }

  /** The origin's time of day as hh:mm:ss.fff; null when the file has none. */
  startClock(): string | null {
    if (!this.started) return null;
    const { format } = this.time;
    if (countsFromZero(format)) return this.time.clock === null ? null : withMilliseconds(this.time.clock);
    if (format !== "clock" && format !== "date and time" && format !== "spreadsheet serial") return null;
    if (format === "spreadsheet serial") return this.startedAt()?.slice(11, 23) ?? null;
    const milliseconds = this.originSecond * 1000 + Math.round(this.originNano / 1e6);
    return new Date(milliseconds).toISOString().slice(11, 23);
  }

  private withZone(localMilliseconds: number, offsetSeconds: number): string {
    const text = new Date(localMilliseconds).toISOString().slice(0, -1);
    if (Number.isNaN(offsetSeconds)) return text;
    if (offsetSeconds === 0) return `${text}Z`;
    const minutes = Math.abs(offsetSeconds) / 60;
    const two = (value: number) => String(value).padStart(2, "0");
    return `${text}${offsetSeconds < 0 ? "-" : "+"}${two(Math.trunc(minutes / 60))}:${two(minutes % 60)}`;
  }

  private readCell(row: RowScanner, first: number, second: number | undefined): boolean {
    const { bytes } = row;
    const start = row.starts[first] as number;
    const end = row.ends[first] as number;
    switch (this.time.format) {
      case "number": {
        const plain = this.time.unit === "s" ? (row.numbers[first] as number) : Number.NaN;
        if (Number.isNaN(plain)) return this.readNumber(bytes, start, end);
        this.seconds = plain;
        this.started = true;
        return true;
      }
      case "frame number": {
        const frame = this.decimal.read(bytes, start, end, null);
        this.seconds = frame / (this.time.frameRate ?? Number.NaN);
        this.started = true;
        return Number.isInteger(frame);
      }
      case "unix":
        return this.readFromFirst(bytes, start, end, this.time.unit === "ms" ? 1 : 1000, 1000);
      case "spreadsheet serial":
        return this.readSerial(bytes, start, end);
      case "elapsed":
        if (!this.dateTime.readElapsed(bytes, start, end)) return false;
        this.seconds = exactSeconds(this.dateTime.second, this.dateTime.nano);
        this.started = true;
        return true;
      case "clock":
        this.dateTime.reset();
        if (!this.dateTime.readClock(bytes, start, end)) return false;
        this.setClock();
        return true;
      case "date and time":
        return this.readDateAndTime(row, start, end, second);
    }
  }

  private readNumber(bytes: Uint8Array, start: number, end: number): boolean {
    const value = this.decimal.read(bytes, start, end, this.time.unit);
    if (Number.isNaN(value)) return false;
    this.started = true;
    const { mantissa, scale, exact } = this.decimal;
    switch (this.time.unit) {
      case "s":
        this.seconds = value;
        return true;
      case "ms":
        this.seconds = exact ? mantissa / (powersOfTen[scale + 3] as number) : value / 1000;
        return true;
      case "min":
        this.seconds = exact ? (mantissa * 60) / (powersOfTen[scale] as number) : value * 60;
        return true;
      case "h":
        this.seconds = exact ? (mantissa * 3600) / (powersOfTen[scale] as number) : value * 3600;
        return true;
    }
  }

  /** value x factor / divisor, counted from the first row; the difference is taken on whole numbers where possible. */
  private readFromFirst(
    bytes: Uint8Array,
    start: number,
    end: number,
    factor: number,
    divisor: number,
  ): boolean {
    const value = this.decimal.read(bytes, start, end, null);
    if (!(Math.abs(value * this.unixMilliseconds()) < latestMilliseconds)) return false;
    const { mantissa, scale, exact } = this.decimal;
    if (!this.started) {
      this.started = true;
      this.originValue = value;
      this.originMantissa = mantissa;
      this.originScale = scale;
      this.originExact = exact;
    }
    if (exact && this.originExact && scale <= 9 && this.originScale <= 9) {
      const common = Math.max(scale, this.originScale);
      const difference =
        mantissa * (powersOfTen[common - scale] as number) -
        this.originMantissa * (powersOfTen[common - this.originScale] as number);
      if (Number.isSafeInteger(difference * factor)) {
        this.seconds = (difference * factor) / ((powersOfTen[common] as number) * divisor);
        return true;
      }
    }
    this.seconds = ((value - this.originValue) * factor) / divisor;
    return true;
  }

  private readSerial(bytes: Uint8Array, start: number, end: number): boolean {
    const value = this.decimal.read(bytes, start, end, null);
    if (!(value >= 0 && value <= latestSerial)) return false;
    if (!this.started) {
      this.started = true;
      this.originValue = value;
    }
    // A serial of our century holds 0.6 µs in a double, and the text perhaps less: what lies below is no time.
    this.seconds = Math.round((value - this.originValue) * daySeconds * 1e6) / 1e6;
    this.tolerance = Math.min(1e-3, Math.max(2e-6, daySeconds / 10 ** this.decimal.scale));
    return true;
  }

  private readDateAndTime(row: RowScanner, start: number, end: number, second: number | undefined): boolean {
    const reader = this.dateTime;
    reader.reset();
    if (!reader.readDate(row.bytes, start, end, this.time.dateOrder)) return false;
    if (second !== undefined) {
      if (!reader.readClock(row.bytes, row.starts[second] as number, row.ends[second] as number))
        return false;
    }
    const offset = this.offsetSeconds();
    if (!this.started) {
      this.setOrigin(offset);
      this.originDay = reader.day;
      this.originHasDate = true;
    }
    const zoneShift =
      Number.isNaN(offset) || Number.isNaN(this.originOffset) ? 0 : offset - this.originOffset;
    const whole = (reader.day - this.originDay) * daySeconds + reader.second - this.originSecond - zoneShift;
    this.seconds = exactSeconds(whole, reader.nano - this.originNano);
    if (Number.isNaN(offset)) this.countThrough(reader.second + reader.nano / nanosPerSecond);
    return true;
  }

  /** The times of a clock that was put forward or back go on as the samples do. */
  private countThrough(ofDay: number): void {
    if (this.clockChanges === null) return;
    this.seconds = this.clockChanges.passed(this.seconds, ofDay);
    this.clockChange = this.clockChanges.last;
  }

  private setClock(): void {
    const reader = this.dateTime;
    const ofDay = reader.second + reader.nano / nanosPerSecond;
    if (!this.started) this.setOrigin(this.offsetSeconds());
    else if (ofDay - this.previous < -daySeconds / 2) {
      this.days++;
      this.crossedMidnight = true;
    } else if (this.days > 0 && ofDay - this.previous > daySeconds / 2) this.days--;
    this.previous = ofDay;
    this.seconds = exactSeconds(
      this.days * daySeconds + reader.second - this.originSecond,
      reader.nano - this.originNano,
    );
    if (Number.isNaN(reader.offset)) this.countThrough(ofDay);
  }

  private setOrigin(offset: number): void {
    this.started = true;
    this.originSecond = this.dateTime.second;
    this.originNano = this.dateTime.nano;
    this.originOffset = offset;
  }

  private offsetSeconds(): number {
    if (!Number.isNaN(this.dateTime.offset)) return this.dateTime.offset * 60;
    return this.time.zone === null ? Number.NaN : zoneSeconds(this.time.zone);
  }

  private unixMilliseconds(): number {
    return this.time.unit === "ms" ? 1 : 1000;
  }
}

/** Whether times count from the file's zero, whose time of day only the column map can know. */
function countsFromZero(format: ColumnMap["time"]["format"]): boolean {
  return format === "number" || format === "elapsed" || format === "frame number";
}

/** "09:30" and "09:30:00" as "09:30:00.000". */
function withMilliseconds(clock: string): string {
  const [whole = "", fraction = ""] = clock.split(".");
  return `${whole.length === "hh:mm".length ? `${whole}:00` : whole}.${fraction.padEnd(3, "0").slice(0, 3)}`;
}

/** Whole seconds and nanoseconds as the nearest double. */
function exactSeconds(whole: number, nano: number): number {
  const nanos = whole * nanosPerSecond + nano;
  return Number.isSafeInteger(nanos) ? nanos / nanosPerSecond : whole + nano / nanosPerSecond;
}

function isEmpty(row: RowScanner, index: number): boolean {
  if (index >= row.cellCount) return true;
  for (let i = row.starts[index] as number; i < (row.ends[index] as number); i++) {
    if ((row.bytes[i] as number) > 32) return false;
  }
  return true;
}
