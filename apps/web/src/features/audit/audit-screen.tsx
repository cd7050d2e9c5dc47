"use client";

import { keepPreviousData, useQuery } from "@tanstack/react-query";
import { type Column, DataTable } from "@/components/data-table";
import { EmptyState } from "@/components/empty-state";
import { PageHeader } from "@/components/page-header";
import { useTableState } from "@/components/use-table-state";
import { GuardedDownload } from "@/features/account/guarded-download";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import { actionName } from "./action-names";
import classes from "./audit.module.css";
import { auditShape, exportAddress, filterOf } from "./audit-filter";
import { AuditFilters } from "./audit-filters";
import { ChainHead } from "./chain-head";
import { EntryChanges } from "./entry-changes";
import { utcMoment } from "./value-words";

type Entry = Outputs["audit"]["list"]["entries"][number];

const columns: readonly Column<Entry, "at">[] = [
  {
    id: "at",
    header: "When (UTC)",
    minWidth: 150,
    cell: (entry) => (
      <span className={classes.when}>
        {utcMoment(entry.at)} <span className={classes.number}>no. {entry.sequence}</span>
      </span>
    ),
  },
  { id: "who", header: "Who", minWidth: 110, cell: (entry) => entry.actorName },
  { id: "action", header: "What", minWidth: 120, cell: (entry) => actionName(entry.action) },
  { id: "subject", header: "Of", minWidth: 100, cell: (entry) => entry.subjectLabel },
  {
    id: "changes",
    header: "From what to what, and why",
    minWidth: 220,
    cell: (entry) => <EntryChanges entry={entry} />,
  },
];

const summary =
  "Who did what, and when; the newest first. Entries are only ever added, and hold no name, contact or date of birth of a volunteer.";

export function AuditScreen() {
  const { may } = useStudy();
  return may("audit.list") ? (
    <AuditTrail />
  ) : (
    <>
      <PageHeader title="Audit trail" summary={summary} />
      <EmptyState title="The audit trail is read by lead investigators and observers.">
        What you do is in it as well. Ask a lead investigator when you need to know who changed something.
      </EmptyState>
    </>
  );
}

function AuditTrail() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const controls = useTableState(auditShape);
  const { page, pageSize, filters } = controls.state;
  const filter = filterOf(filters);
  const list = useQuery(
    trpc.audit.list.queryOptions(
      { studyId, page, pageSize, ...filter },
      { placeholderData: keepPreviousData },
    ),
  );
  const head = list.data?.head ?? null;
  return (
    <>
      <PageHeader
        title="Audit trail"
        summary={summary}
        actions={
          may("audit.export") && (
            <>
              <GuardedDownload href={exportAddress(studyId, "csv", filter)}>Export as CSV</GuardedDownload>
              <GuardedDownload href={exportAddress(studyId, "jsonl", filter)}>
                Export as JSON Lines
              </GuardedDownload>
            </>
          )
        }
      />
      {list.isError ? (
        <QueryError error={list.error} what="the audit trail" onRetry={() => list.refetch()} />
      ) : (
        <>
          <DataTable
            label="Entries of the audit trail"
            columns={columns}
            rows={list.data?.entries}
            total={list.data?.total}
            rowKey={(entry) => entry.id}
            controls={controls}
            pending={list.isPlaceholderData}
            stacked
            filters={<AuditFilters controls={controls} />}
            empty={
              <EmptyState title="Nothing has been done yet.">
                Every change of this study will stand here.
              </EmptyState>
            }
          />
          {head !== null && <ChainHead head={head} />}
        </>
      )}
    </>
  );
}
