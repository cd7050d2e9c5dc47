"use client";

import { NativeSelect } from "@mantine/core";
import { keepPreviousData, useQuery } from "@tanstack/react-query";
import { type Column, DataTable } from "@/components/data-table";
import { Disclosure } from "@/components/disclosure";
import { EmptyState } from "@/components/empty-state";
import { formatMoment } from "@/components/format-moment";
import { PageHeader } from "@/components/page-header";
import { SearchField } from "@/components/search-field";
import type { TableShape } from "@/components/table-state";
import { useTableState } from "@/components/use-table-state";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import { actionChoices, actionName } from "./action-names";
import classes from "./audit.module.css";
import { type Change, changesOf } from "./changes";

type Entry = Outputs["audit"]["list"]["entries"][number];

const shape: TableShape<"at", "search" | "action"> = {
  sorts: ["at"],
  defaultSort: "at",
  defaultDirection: "descending",
  filters: ["search", "action"],
  pageSize: 50,
};

const columns: readonly Column<Entry, "at">[] = [
  {
    id: "at",
    header: "When",
    minWidth: 150,
    cell: (entry) => <span className={classes.when}>{formatMoment(entry.at)}</span>,
  },
  { id: "who", header: "Who", minWidth: 120, cell: (entry) => entry.actorName },
  { id: "action", header: "What", minWidth: 150, cell: (entry) => actionName(entry.action) },
  { id: "subject", header: "Of", minWidth: 120, cell: (entry) => entry.subjectLabel },
  { id: "changes", header: "Before and after", minWidth: 240, cell: (entry) => <Changes entry={entry} /> },
  { id: "reason", header: "Reason", minWidth: 160, cell: (entry) => entry.reason },
];

export function AuditScreen() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const controls = useTableState(shape);
  const { page, pageSize, filters } = controls.state;
  const list = useQuery(
    trpc.audit.list.queryOptions(
      {
        studyId,
        page,
        pageSize,
        ...(filters.search === undefined ? {} : { search: filters.search }),
        ...(filters.action === undefined ? {} : { action: filters.action }),
      },
      { placeholderData: keepPreviousData },
    ),
  );
  return (
    <>
      <PageHeader
        title="Audit trail"
        summary="Who did what, and when; the newest first. Entries are only ever added, and hold no name, contact or date of birth of a volunteer."
      />
      {list.isError ? (
        <QueryError error={list.error} what="the audit trail" onRetry={() => list.refetch()} />
      ) : (
        <DataTable
          label="Entries of the audit trail"
          columns={columns}
          rows={list.data?.entries}
          total={list.data?.total}
          rowKey={(entry) => entry.id}
          controls={controls}
          pending={list.isPlaceholderData}
          stacked
          filters={
            <>
              <SearchField
                label="Subject, person or reason"
                value={filters.search ?? ""}
                onChange={(value) => controls.setFilter("search", value)}
              />
              <NativeSelect
                label="What was done"
                data={[{ value: "", label: "everything" }, ...actionChoices]}
                value={filters.action ?? ""}
                onChange={(event) => controls.setFilter("action", event.currentTarget.value)}
              />
            </>
          }
          empty={
            <EmptyState title="Nothing has been done yet.">
              Every change of this study will stand here.
            </EmptyState>
          }
        />
      )}
    </>
  );
}

function Changes({ entry }: { readonly entry: Entry }) {
  const changes = changesOf(entry.before, entry.after);
  if (changes.length === 0) return null;
  // A long list would push the entries apart, above all on a narrow screen.
  return changes.length > 3 ? (
    <Disclosure summary={`${changes.length} values`}>
      <ChangeList changes={changes} />
    </Disclosure>
  ) : (
    <ChangeList changes={changes} />
  );
}

function ChangeList({ changes }: { readonly changes: readonly Change[] }) {
  return (
    <dl className={classes.changes}>
      {changes.map((change) => (
        <div key={change.name}>
          <dt>{change.name}</dt>
          <dd>
            {change.before !== null && <del>{change.before}</del>}
            {change.before !== null && change.after !== null && " → "}
            {change.after !== null && <ins style={{ textDecoration: "none" }}>{change.after}</ins>}
          </dd>
        </div>
      ))}
    </dl>
  );
}
