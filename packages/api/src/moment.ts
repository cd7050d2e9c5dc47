import { z } from "zod";
import { AppError } from "./app-error";

/** A moment with its offset, as a browser sends it (`2026-03-14T09:30:00Z`). */
export const momentInput = z.iso
  .datetime({ offset: true, error: "Enter a date and a time." })
  .transform((text) => new Date(text));

/** A moment in a message: the server does not know the time zone of the person who reads it. */
export function momentText(moment: Date): string {
  return `${moment.toISOString().slice(0, 16).replace("T", " ")} UTC`;
}

/** A day of the calendar (`2026-03-14`), without time or time zone. */
export const calendarDate = z.iso.date("Enter a date as year-month-day, for instance 2026-03-14.");

/** Clocks of two machines differ a little: a moment up to this far ahead is taken for now. */
const clockToleranceMs = 60_000;

/** The moment itself, or now when the two clocks differ by seconds; refuses what lies in the future. */
export function notInFuture(moment: Date, now: Date, field: string, what: string): Date {
  if (moment.getTime() > now.getTime() + clockToleranceMs) {
    throw new AppError(
      "invalid",
      `${what} lies in the future (${momentText(moment)}). Enter when it happened; it cannot be entered in advance.`,
      { field },
    );
  }
  return moment > now ? now : moment;
}

/** Refuses a day that has begun nowhere on earth yet (the first time zone is 14 hours ahead of UTC). */
export function dayNotInFuture(day: string, now: Date, field: string, what: string): void {
  const latest = new Date(now.getTime() + 14 * 3_600_000).toISOString().slice(0, 10);
  if (day > latest) {
    throw new AppError(
      "invalid",
      `${what} lies in the future (${day}). Enter the day on which it happened.`,
      {
        field,
      },
    );
  }
}

/** Screens enter moments by the minute: the start of the minute of a moment. */
export function startOfMinute(moment: Date): Date {
  return new Date(Math.floor(moment.getTime() / 60_000) * 60_000);
}

/** An earlier moment of the same minute counts as the later event itself. */
export function afterWithinMinute(entered: Date, event: Date | null): Date {
  return event !== null && entered < event && entered >= startOfMinute(event) ? event : entered;
}
