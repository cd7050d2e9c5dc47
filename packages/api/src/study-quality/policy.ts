import type { FindingKind } from "@acral/analysis/quality";
import type { Standing } from "../quality/policy";
import type { QualityOfStudyInput } from "../quality/schema";

/** How findings are counted over the trials of a study, and in which order the trials stand. Nothing here reads or writes. */

/** A finding as a study's list counts it. */
export interface CountedFinding {
  readonly kind: FindingKind;
  readonly size: number | null;
  readonly unit: string;
  readonly standing: Standing;
}

export interface KindCount {
  readonly kind: FindingKind;
  readonly count: number;
  /** The largest by amount, with its sign; null where nothing measures them. */
  readonly largest: number | null;
  readonly unit: string;
}

export function countByKind(findings: readonly CountedFinding[]): KindCount[] {
  const kinds = new Map<FindingKind, KindCount>();
  for (const { kind, size, unit } of findings) {
    const before = kinds.get(kind) ?? { kind, count: 0, largest: null, unit };
    const largest = size !== null && Math.abs(size) > Math.abs(before.largest ?? 0) ? size : before.largest;
    kinds.set(kind, { kind, count: before.count + 1, largest, unit: before.unit || unit });
  }
  return [...kinds.values()];
}

/** The largest size of a kind among findings, with its sign; null without one. */
export function largestOf(findings: readonly CountedFinding[], kind: FindingKind): number | null {
  return countByKind(findings.filter((finding) => finding.kind === kind))[0]?.largest ?? null;
}

interface Sortable {
  readonly trialId: string;
  readonly volunteerCode: string;
  readonly conditionName: string;
  readonly occasion: number;
  readonly recordedOn: string | null;
  readonly open: number;
  readonly stepC: number | null;
  readonly driftC: number | null;
  readonly missingShare: number | null;
}

/** Puts the trials of a study in the order that was asked for; equals by volunteer and occasion. */
export function inOrderOf({ sort, direction }: Pick<QualityOfStudyInput, "sort" | "direction">) {
  const sign = direction === "ascending" ? 1 : -1;
  const text = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);
  const sortedBy = (row: Sortable): string | number => {
    switch (sort) {
      case "date":
        return row.recordedOn ?? "";
      case "volunteer":
        return row.volunteerCode;
      case "condition":
        return row.conditionName;
      case "open":
        return row.open;
      case "step":
        return Math.abs(row.stepC ?? 0);
      case "drift":
        return Math.abs(row.driftC ?? 0);
      case "missing":
        return row.missingShare ?? 0;
    }
  };
  return (a: Sortable, b: Sortable): number => {
    const [left, right] = [sortedBy(a), sortedBy(b)];
    const main =
      typeof left === "number" && typeof right === "number"
        ? left - right
        : text(String(left), String(right));
    return (
      sign * main ||
      text(a.volunteerCode, b.volunteerCode) ||
      a.occasion - b.occasion ||
      text(a.trialId, b.trialId)
    );
  };
}
