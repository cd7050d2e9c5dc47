import type { TableShape, TableState } from "@/components/table-state";

export type AuditFilterName = "search" | "action" | "person" | "subject" | "volunteer" | "from" | "until";

export const auditShape: TableShape<"at", AuditFilterName> = {
  sorts: ["at"],
  defaultSort: "at",
  defaultDirection: "descending",
  filters: ["search", "action", "person", "subject", "volunteer", "from", "until"],
  pageSize: 50,
};

/** What the server is asked for. */
export interface AuditFilter {
  readonly search?: string;
  readonly action?: string;
  readonly person?: string;
  readonly subjectKind?: string;
  readonly volunteerCode?: string;
  readonly from?: string;
  readonly until?: string;
}

/** A field for date and time holds UTC here, to the minute: "2026-03-14T09:30". Undefined for what is none. */
export function utcOf(typed: string | undefined): string | undefined {
  if (typed === undefined || !/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/.test(typed)) return undefined;
  const at = new Date(`${typed}:00.000Z`);
  return Number.isNaN(at.getTime()) ? undefined : at.toISOString();
}

export function filterOf(filters: TableState<"at", AuditFilterName>["filters"]): AuditFilter {
  const all = {
    search: filters.search,
    action: filters.action,
    person: filters.person,
    subjectKind: filters.subject,
    volunteerCode: filters.volunteer,
    from: utcOf(filters.from),
    until: utcOf(filters.until),
  };
  return Object.fromEntries(Object.entries(all).filter(([, value]) => value !== undefined));
}

/** The file of what the filters leave. */
export function exportAddress(studyId: string, format: "csv" | "jsonl", filter: AuditFilter): string {
  return `/api/studies/${studyId}/audit?${new URLSearchParams({ format, ...filter })}`;
}
