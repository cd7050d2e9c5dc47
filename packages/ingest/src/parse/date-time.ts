import type { DateOrder } from "../column-map";

const ZERO = 48;
const months = new Map<string, number>();
/** First letters of the month names in English, German, French, Spanish, Dutch, Italian and Portuguese. */
for (const [month, names] of [
  "jan ene gen",
  "feb fev",
  "mar maa maer mrt",
  "apr avr abr",
  "may mai mei mag",
  "jun giu",
  "jul juil lug",
  "aug aou ago",
  "sep set",
  "oct okt out ott",
  "nov",
  "dec dez dic",
].entries()) {
  for (const name of names.split(" ")) months.set(name, month + 1);
}
months.set("juin", 6);

function daysInMonth(year: number, month: number): number {
  return new Date(Date.UTC(year, month, 0)).getUTCDate();
}

function isDigit(byte: number | undefined): boolean {
  return byte !== undefined && byte >= 48 && byte <= 57;
}

function isLetter(byte: number | undefined): boolean {
  return byte !== undefined && (byte | 32) >= 97 && (byte | 32) <= 122;
}

/**
 * How many bytes a space takes, 0 where none stands: also the no-break, narrow and thin ones that locale data put before AM
 * and PM (Unicode CLDR 42), in UTF-8 or in one byte.
 */
function spaceWidth(bytes: Uint8Array, at: number): 0 | 1 | 2 | 3 {
  const byte = bytes[at];
  if (byte === 0x20 || byte === 0xa0) return 1;
  if (byte === 0xc2) return bytes[at + 1] === 0xa0 ? 2 : 0;
  if (byte !== 0xe2 || bytes[at + 1] !== 0x80) return 0;
  return bytes[at + 2] === 0xaf || bytes[at + 2] === 0x89 ? 3 : 0;
}

/**
 * Reads dates and times of day from text bytes without making strings. What it found stays in its fields; seconds and
 * nanoseconds are whole numbers, so that differences of times are exact.
 */
export class DateTimeReader {
  /** Days since 1970-01-01. */
  day = 0;
  hasDate = false;
  /** Seconds since midnight. */
  second = 0;
  nano = 0;
  hasTime = false;
  /** Minutes east of UTC, NaN if not stated. */
  offset = Number.NaN;

  private bytes: Uint8Array = new Uint8Array(0);
  private p = 0;
  private end = 0;
  private number = 0;
  private digits = 0;

  reset(): void {
    this.hasDate = false;
    this.hasTime = false;
    this.second = 0;
    this.nano = 0;
    this.offset = Number.NaN;
  }

  /** A date, alone or followed by a time of day and a zone. */
  readDate(bytes: Uint8Array, start: number, end: number, order: DateOrder): boolean {
    this.take(bytes, start, end);
    if (!this.date(order)) return false;
    if (this.p === this.end) return true;
    if ((this.byte() | 32) === 0x74 /* T */) this.p++;
    else {
      if (this.byte() === 0x2c) this.p++;
      this.spaces();
    }
    return this.timeOfDay() && this.p === this.end;
  }

  /** A time of day, 24 or 12 hours, with an optional zone. */
  readClock(bytes: Uint8Array, start: number, end: number): boolean {
    this.take(bytes, start, end);
    return this.timeOfDay() && this.p === this.end;
  }

  /** A duration h:mm:ss(.fff) or m:ss(.fff), possibly negative; leaves whole seconds and nanoseconds, both signed. */
  readElapsed(bytes: Uint8Array, start: number, end: number): boolean {
    this.take(bytes, start, end);
    const negative = this.byte() === 0x2d;
    if (negative) this.p++;
    if (!this.integer(1, 6)) return false;
    let total = this.number;
    let parts = 1;
    while (parts < 3 && this.byte() === 0x3a) {
      this.p++;
      if (!this.integer(2, 2) || this.number > 59) return false;
      total = total * 60 + this.number;
      parts++;
    }
    this.nano = 0;
    if (parts === 1 || !this.fraction() || this.p !== this.end) return false;
    this.second = negative ? -total : total;
    if (negative) this.nano = -this.nano;
    this.hasTime = true;
    return true;
  }

  private take(bytes: Uint8Array, start: number, end: number): void {
    this.bytes = bytes;
    this.p = start;
    this.end = end;
    while (this.end > this.p && (bytes[this.end - 1] as number) <= 32) this.end--;
    this.spaces();
  }

  private byte(): number {
    return this.p < this.end ? (this.bytes[this.p] as number) : 0;
  }

  private spaces(): void {
    while (this.p < this.end) {
      const width = spaceWidth(this.bytes, this.p);
      if (width === 0) return;
      this.p += width;
    }
  }

  private integer(min: number, max: number): boolean {
    let n = 0;
    const from = this.p;
    while (this.p < this.end && isDigit(this.bytes[this.p])) {
      n = n * 10 + (this.bytes[this.p] as number) - ZERO;
      this.p++;
    }
    this.number = n;
    this.digits = this.p - from;
    return this.digits >= min && this.digits <= max;
  }

  private date(order: DateOrder): boolean {
    let year = 0;
    let month = 0;
    let day = 0;
    if (isLetter(this.byte())) {
      month = this.monthName();
      if (month === 0 || !this.separator() || !this.integer(1, 2)) return false;
      day = this.number;
      if (!this.separator() || !this.integer(4, 4)) return false;
      year = this.number;
      return this.setDate(year, month, day);
    }
    if (!this.integer(1, 8)) return false;
    const first = this.number;
    const firstDigits = this.digits;
    if (firstDigits === 8) {
      return this.setDate(Math.trunc(first / 10000), Math.trunc(first / 100) % 100, first % 100);
    }
    if (firstDigits > 4 || firstDigits === 3 || !this.separator()) return false;
    let second: number;
    let named = false;
    if (isLetter(this.byte())) {
      second = this.monthName();
      named = true;
      if (second === 0) return false;
    } else {
      if (!this.integer(1, 2)) return false;
      second = this.number;
    }
    if (!this.separator() || !this.integer(1, 4) || this.digits === 3) return false;
    const third = this.number;
    const thirdDigits = this.digits;
    if (firstDigits === 4 || (order === "year-month-day" && !named)) {
      if (thirdDigits > 2) return false;
      return this.setDate(firstDigits === 4 ? first : fullYear(first), second, third);
    }
    if (thirdDigits === 1) return false;
    year = thirdDigits === 2 ? fullYear(third) : third;
    if (named || order === "day-month-year") return this.setDate(year, second, first);
    return this.setDate(year, first, second);
  }

  private monthName(): number {
    const from = this.p;
    while (this.p < this.end && (isLetter(this.bytes[this.p]) || (this.bytes[this.p] as number) > 127))
      this.p++;
    let name = "";
    for (let i = from; i < this.p && name.length < 4; i++) {
      const byte = this.bytes[i] as number;
      // An accented letter in Latin-1 or UTF-8: é and û are the only ones in month names that matter here.
      if (byte > 127) {
        if (byte === 0xc3) continue;
        name += byte === 0xa9 || byte === 0xe9 ? "e" : byte === 0xa4 || byte === 0xe4 ? "ae" : "u";
      } else name += String.fromCharCode(byte | 32);
    }
    if (this.byte() === 0x2e && this.p + 1 < this.end) {
      // "Feb. 2026": the dot belongs to the month, unless it is the separator.
      if (this.bytes[this.p + 1] === 32) this.p++;
    }
    return months.get(name.slice(0, 4)) ?? months.get(name.slice(0, 3)) ?? 0;
  }

  private separator(): boolean {
    const byte = this.byte();
    if (byte === 0x2d || byte === 0x2f || byte === 0x2e || byte === 0x20 || byte === 0x2c) {
      this.p++;
      this.spaces();
      return true;
    }
    return false;
  }

  private setDate(year: number, month: number, day: number): boolean {
    if (year < 1900 || year > 2999 || month < 1 || month > 12 || day < 1) return false;
    if (day > daysInMonth(year, month)) return false;
    this.day = Math.round(Date.UTC(year, month - 1, day) / 86_400_000);
    this.hasDate = true;
    return true;
  }

  private timeOfDay(): boolean {
    this.nano = 0;
    if (!this.integer(1, 6)) return false;
    let hour = this.number;
    let minute = 0;
    let second = 0;
    if (this.digits === 6) {
      second = hour % 100;
      minute = Math.trunc(hour / 100) % 100;
      hour = Math.trunc(hour / 10000);
      if (!this.fraction()) return false;
    } else {
      if (this.digits > 2) return false;
      const separator = this.byte();
      if (separator !== 0x3a && (separator | 32) !== 0x68 /* 10h15 */) return false;
      this.p++;
      if (!this.integer(2, 2)) return false;
      minute = this.number;
      if (this.byte() === 0x3a) {
        this.p++;
        if (!this.integer(2, 2)) return false;
        second = this.number;
        if (!this.fraction()) return false;
      }
    }
    if (minute > 59 || second > 60) return false;
    const half = this.halfOfDay();
    if (half !== null) {
      if (hour < 1 || hour > 12) return false;
      hour = (hour % 12) + half;
    }
    if (hour > 24 || (hour === 24 && (minute > 0 || second > 0 || this.nano > 0))) return false;
    this.second = hour * 3600 + minute * 60 + second;
    this.hasTime = true;
    return this.zone();
  }

  /** ".25", ",25" or ":250" behind the seconds; nothing is fine too. */
  private fraction(): boolean {
    const byte = this.byte();
    if (byte !== 0x2e && byte !== 0x2c && byte !== 0x3a) return true;
    this.p++;
    if (!this.integer(1, 15)) return false;
    if (byte === 0x3a && this.digits !== 3) return false;
    this.nano = Math.round(
      this.digits <= 9 ? this.number * 10 ** (9 - this.digits) : this.number / 10 ** (this.digits - 9),
    );
    return true;
  }

  /** 0 for AM, 12 for PM, also as "p.m." and "p. m."; null if neither is written. */
  private halfOfDay(): 0 | 12 | null {
    const before = this.p;
    this.spaces();
    const letter = this.byte() | 32;
    const half = letter === 0x61 ? 0 : letter === 0x70 ? 12 : null;
    if (half !== null) {
      this.p++;
      if (this.byte() === 0x2e) {
        this.p++;
        this.spaces();
      }
      if ((this.byte() | 32) === 0x6d) {
        this.p++;
        if (this.byte() === 0x2e) this.p++;
        return half;
      }
    }
    this.p = before;
    return null;
  }

  private zone(): boolean {
    if (this.p === this.end) return true;
    this.spaces();
    const byte = this.byte();
    if ((byte | 32) === 0x7a) {
      this.p++;
      this.offset = 0;
      return true;
    }
    if (((byte | 32) === 0x75 || (byte | 32) === 0x67) && this.p + 3 <= this.end) {
      const word = String.fromCharCode(...this.bytes.subarray(this.p, this.p + 3)).toUpperCase();
      if (word !== "UTC" && word !== "GMT") return false;
      this.p += 3;
      this.offset = 0;
      if (this.p === this.end) return true;
    }
    const sign = this.byte();
    if (sign !== 0x2b && sign !== 0x2d) return false;
    this.p++;
    if (!this.integer(1, 4)) return false;
    let hours = this.number;
    let minutes = 0;
    if (this.digits > 2) {
      minutes = hours % 100;
      hours = Math.trunc(hours / 100);
    } else if (this.byte() === 0x3a) {
      this.p++;
      if (!this.integer(2, 2)) return false;
      minutes = this.number;
    }
    if (hours > 14 || minutes > 59) return false;
    this.offset = (hours * 60 + minutes) * (sign === 0x2d ? -1 : 1);
    return true;
  }
}

/** Two-digit years: 69 to 99 are 19xx, 00 to 68 are 20xx (POSIX strptime %y). */
function fullYear(year: number): number {
  return year >= 100 ? year : year + (year >= 69 ? 1900 : 2000);
}
