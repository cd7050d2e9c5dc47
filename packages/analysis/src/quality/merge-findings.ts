import type { AdjustmentSettings } from "./adjustment";
import { type Confidence, type Finding, type FindingKind, finding } from "./finding";

/** Kinds that are looked for trace by trace and often concern several traces at the same moment. */
const mergeable: ReadonlySet<FindingKind> = new Set<FindingKind>([
  "values missing",
  "spike",
  "stuck",
  "saturated",
  "implausible values",
]);

const bySureness: readonly Confidence[] = ["sure", "likely", "possible"];

/**
 * One finding where several traces have the same one over exactly the same interval: a lost frame is one thing, not sixty.
 * The largest speaks for the others, and the proposals become one. In order of time, each with a key of its own.
 */
export function mergeFindings(findings: readonly Finding[]): Finding[] {
  const groups = new Map<string, Finding[]>();
  for (const [k, one] of findings.entries()) {
    const name = mergeable.has(one.kind) ? `${one.kind} ${one.fromS} ${one.toS}` : `alone ${k}`;
    const group = groups.get(name);
    if (group === undefined) groups.set(name, [one]);
    else group.push(one);
  }
  const merged = [...groups.values()].map(mergeGroup);
  merged.sort((a, b) => a.fromS - b.fromS || a.toS - b.toS || compare(a.key, b.key));
  const seen = new Map<string, number>();
  return merged.map((one) => {
    const times = (seen.get(one.key) ?? 0) + 1;
    seen.set(one.key, times);
    return times === 1 ? one : { ...one, key: `${one.key} (${times})` };
  });
}

function compare(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}

function mergeGroup(group: readonly Finding[]): Finding {
  const largest = group.reduce((far, one) => (Math.abs(one.size ?? 0) > Math.abs(far.size ?? 0) ? one : far));
  if (group.length === 1) return largest;
  const others = group.length - 1;
  return finding({
    ...largest,
    traces: group.flatMap(({ traces }) => traces),
    count: Math.max(...group.map(({ count }) => count)),
    confidence:
      bySureness.find((level) => group.some(({ confidence }) => confidence === level)) ?? "possible",
    meaning: `${largest.meaning} At the same time in ${others} other ${others === 1 ? "trace" : "traces"}.`,
    proposal: mergedProposal(group.flatMap(({ proposal }) => proposal ?? [])),
  });
}

function mergedProposal(proposals: readonly AdjustmentSettings[]): AdjustmentSettings | null {
  const masks = proposals.filter((proposal) => proposal.kind === "mask");
  const first = masks[0];
  if (first === undefined) return null;
  return { ...first, series: masks.flatMap(({ series }) => series ?? []) };
}
