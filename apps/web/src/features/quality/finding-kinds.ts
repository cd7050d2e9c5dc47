import type { Finding } from "./quality-words";

/** What concerns every region at once stands first: it is what can be mistaken for the body. */
export const orderOfKinds: readonly Finding["kind"][] = [
  "reference drift",
  "common drift",
  "common step",
  "times missing",
  "times reversed",
  "times repeated",
  "gap in time",
  "sampling uneven",
  "unit in doubt",
  "implausible values",
  "saturated",
  "stuck",
  "values missing",
  "spike",
];
