import { AppError } from "./app-error";

/**
 * Two people editing the same record: the second is told, sees what stands there now, and keeps their own text.
 * `current` goes to the screen, so it must never hold identity.
 */
export function changedMeanwhile(what: string, current: Readonly<Record<string, unknown>>): AppError {
  return new AppError(
    "changed-meanwhile",
    `Somebody else changed this ${what} while you were editing. Your text is kept here; compare it with what stands there now and save again.`,
    { details: { current } },
  );
}
