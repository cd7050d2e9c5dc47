/** Where in the release something stands: a field of the input, or a file of the package. Never the content itself. */
export interface RefusedPlace {
  readonly place: string;
  readonly problem: string;
}

/**
 * The release must not go out as it is. The message and the places are safe to show and to log: they never repeat
 * what was found.
 */
export class ReleaseRefusedError extends Error {
  override readonly name = "ReleaseRefusedError";
  constructor(
    message: string,
    readonly places: readonly RefusedPlace[] = [],
  ) {
    super(message);
  }
}

/** The caller handed over something that cannot be a release: `argument` names it. */
export class ReleaseInputError extends Error {
  override readonly name = "ReleaseInputError";
  constructor(
    readonly argument: string,
    problem: string,
  ) {
    super(`${argument}: ${problem}`);
  }
}
