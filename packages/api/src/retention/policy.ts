/** What is kept for times of its own. Consent records go last: they show that keeping the rest was allowed. */
export const retainedParts = ["identity", "recordings", "consent records"] as const;
export type RetainedPart = (typeof retainedParts)[number];

/** Months after the end of the study, and after everything was withdrawn; null where nothing is stated. */
export interface RetentionTimes {
  readonly endedOn: string | null;
  readonly afterEnd: Readonly<Record<RetainedPart, number | null>>;
  readonly afterWithdrawal: Readonly<Record<RetainedPart, number | null>>;
}

/** The same day so many months later, or the last day of that month when it has no such day. */
export function monthsLater(day: string, months: number): string {
  const [year = 0, month = 1, date = 1] = day.split("-").map(Number);
  const lastOfMonth = new Date(Date.UTC(year, month + months, 0)).getUTCDate();
  return new Date(Date.UTC(year, month - 1 + months, Math.min(date, lastOfMonth))).toISOString().slice(0, 10);
}

export interface DueDate {
  readonly on: string;
  readonly because: "end of the study" | "withdrawal";
}

/** The first day on which a part is due to be removed; null while nothing says when. */
export function dueDate(
  times: RetentionTimes,
  part: RetainedPart,
  withdrawnOn: string | null,
): DueDate | null {
  const dates: DueDate[] = [];
  const afterEnd = times.afterEnd[part];
  if (times.endedOn !== null && afterEnd !== null) {
    dates.push({ on: monthsLater(times.endedOn, afterEnd), because: "end of the study" });
  }
  const afterWithdrawal = times.afterWithdrawal[part];
  if (withdrawnOn !== null && afterWithdrawal !== null) {
    dates.push({ on: monthsLater(withdrawnOn, afterWithdrawal), because: "withdrawal" });
  }
  return dates.sort((a, b) => a.on.localeCompare(b.on))[0] ?? null;
}
