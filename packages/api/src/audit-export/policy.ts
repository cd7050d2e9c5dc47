import { csvRow } from "@acral/release";
import { canonicalJson } from "../canonical-json";

export interface ExportedEntry {
  readonly id: string;
  readonly studyId: string | null;
  readonly sequence: number;
  /** ISO 8601, UTC, to the millisecond. */
  readonly at: string;
  readonly actorId: string | null;
  readonly actorName: string;
  readonly action: string;
  readonly subjectKind: string;
  readonly subjectId: string;
  readonly subjectLabel: string;
  readonly volunteerId: string | null;
  readonly before: unknown;
  readonly after: unknown;
  readonly reason: string | null;
  readonly previousHash: string;
  readonly hash: string;
  readonly valuesDigest: string;
  readonly valuesSalt: string | null;
}

export const csvHead = [
  "number",
  "when_utc",
  "who",
  "what",
  "action",
  "subject_kind",
  "subject",
  "before",
  "after",
  "reason",
  "hash",
];

const jsonText = (value: unknown) => (value === null || value === undefined ? null : canonicalJson(value));

/** For a spreadsheet: `csvRow` keeps it from computing what somebody wrote into a reason. */
export function entryAsCsv(entry: ExportedEntry, actionName: string): string {
  return csvRow([
    entry.sequence,
    entry.at,
    entry.actorName,
    actionName,
    entry.action,
    entry.subjectKind,
    entry.subjectLabel,
    jsonText(entry.before),
    jsonText(entry.after),
    entry.reason,
    entry.hash,
  ]);
}

/** Every column, one entry a line, with sorted keys. */
export function entryAsJson(entry: ExportedEntry): string {
  return `${canonicalJson(entry)}\n`;
}
