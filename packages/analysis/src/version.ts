/**
 * The version of the computations, part of every derived number's provenance. It is raised whenever the same input and
 * the same settings can give another number, so that results computed before are recognised as stale.
 */
export const analysisVersion = "0.2.0";
