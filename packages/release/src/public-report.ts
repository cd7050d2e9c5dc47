import type { DisclosureReport, WithheldNumbers } from "./disclosure-report";

/**
 * What of the report goes into the package: counts, rule and choices. Nothing about single people: no keys, no
 * groups, and nothing computed from exact values.
 */
export function publicReport(
  report: DisclosureReport,
  withheldTraces: readonly WithheldNumbers[],
): Record<string, unknown> {
  const { rule, after } = report;
  return {
    rule,
    volunteers: { ...report.volunteers, leftOut: report.leftOut.length },
    trials: report.trials,
    columns: report.columns.map(({ column, words, loss }) => ({ column, coarsening: words, loss })),
    loss: report.loss,
    reached: after,
    withheld: [...report.withheld, ...withheldTraces],
    warnings: report.warnings,
    remainingRisks: report.remainingRisks,
  };
}
