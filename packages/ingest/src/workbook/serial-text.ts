import type { DateKind } from "./number-format-kind";

const daySeconds = 86_400;
const microsPerDay = daySeconds * 1e6;

/** Days from 1970-01-01 back to the day 0 of spreadsheet serials (ECMA-376 part 1, 18.17.4.1). */
const dayZero = { 1900: -25_569, 1904: -24_107 } as const;

/** 9999-12-31 in the calendar that begins in 1900. */
const lastSerial = 2_958_466;
/** A time of day that went on past midnights counts a few days; below a year it is no date of a recording. */
const firstDate = 366;

/**
 * What a cell shows of a number of days, in the spelling of ISO 8601, to the microsecond (a double holds no more of a
 * date of our century). Null when no calendar has such a day.
 */
export function serialText(serial: number, kind: Exclude<DateKind, null>, epoch: 1900 | 1904): string | null {
  if (!(serial >= 0 && serial < lastSerial)) return null;
  const micros = withoutNoise(Math.round(serial * microsPerDay));
  if (kind === "elapsed" && serial < firstDate) return clockText(micros);
  if (kind === "time of day" && serial < firstDate) return clockText(micros % microsPerDay);
  const day = Math.floor(micros / microsPerDay);
  const ofDay = micros - day * microsPerDay;
  // The calendar of 1900 has a 29 February that never was; days before it are counted one too few.
  const shift = epoch === 1900 && day < 60 ? 1 : 0;
  const date = new Date((day + shift + dayZero[epoch]) * daySeconds * 1000).toISOString().slice(0, 10);
  return kind === "date" && ofDay === 0 ? date : `${date} ${clockText(ofDay)}`;
}

/** A double of our century holds 0.6 µs: one microsecond beside a whole millisecond is the rounding of the double. */
function withoutNoise(micros: number): number {
  const whole = Math.round(micros / 1000) * 1000;
  return Math.abs(micros - whole) <= 1 ? whole : micros;
}

function clockText(micros: number): string {
  const seconds = Math.floor(micros / 1e6);
  const two = (value: number) => String(value).padStart(2, "0");
  const fraction = String(micros - seconds * 1e6)
    .padStart(6, "0")
    .replace(/0+$/, "");
  const clock = `${two(Math.floor(seconds / 3600))}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`;
  return fraction === "" ? clock : `${clock}.${fraction}`;
}

/**
 * How far a time may lie from an even spacing, in s, by the decimals with which its number of days is stored. A double of
 * our century has eleven and holds 0.6 µs; some programs write fifteen digits in all, which leaves ten. Fewer are no rounding
 * but what somebody entered.
 */
export function serialTolerance(decimals: number): number {
  return decimals === 10 ? daySeconds / 1e10 : 2e-6;
}
