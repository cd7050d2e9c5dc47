/**
 * Everything that the product refuses, as one closed set of codes. The message is for the person at the screen: what,
 * where, and what to do.
 */
export type AppErrorCode =
  /** Nobody is signed in. */
  | "sign-in-needed"
  /** The last proof of the password is too long ago for this action. */
  | "password-again"
  /** The role does not allow it. */
  | "not-allowed"
  /** It is not there, or belongs to a study of others: the two are not told apart. */
  | "not-found"
  /** The value is refused; `field` says which. */
  | "invalid"
  /** Something with this name, code or content exists already. */
  | "exists"
  /** Somebody else changed the record meanwhile; `details.current` is what stands there now. */
  | "changed-meanwhile"
  /** The state does not allow it (a protocol in force, an accepted trial). */
  | "wrong-state"
  /** No consent in force at that moment permits it; `details.permission` says which. */
  | "consent-missing"
  /** What a study asks before exercise in the heat stops it; `details.state` says how the screening stands. */
  | "screening-missing"
  /** More bytes than the server takes at once. */
  | "too-large"
  /** The source file cannot be read; `details` carry code, line and column. */
  | "file-refused"
  /** The release would break its own disclosure rule. */
  | "release-refused";

export interface AppErrorOptions {
  readonly field?: string;
  readonly details?: Readonly<Record<string, unknown>>;
  readonly cause?: unknown;
}

export class AppError extends Error {
  override readonly name = "AppError";
  readonly field: string | null;
  readonly details: Readonly<Record<string, unknown>>;

  constructor(
    readonly code: AppErrorCode,
    message: string,
    options: AppErrorOptions = {},
  ) {
    super(message, options.cause === undefined ? undefined : { cause: options.cause });
    this.field = options.field ?? null;
    this.details = options.details ?? {};
  }
}

export const httpStatusOf: Readonly<Record<AppErrorCode, number>> = {
  "sign-in-needed": 401,
  "password-again": 403,
  "not-allowed": 403,
  "not-found": 404,
  invalid: 400,
  exists: 409,
  "changed-meanwhile": 409,
  "wrong-state": 409,
  "consent-missing": 403,
  "screening-missing": 403,
  "too-large": 413,
  "file-refused": 422,
  "release-refused": 422,
};

/** One sentence for whatever belongs to another study or to nobody. */
export function notFound(what: string): AppError {
  return new AppError("not-found", `There is no such ${what} in this study.`);
}
