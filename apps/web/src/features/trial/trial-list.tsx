"use client";

import { NativeSelect } from "@mantine/core";
import { keepPreviousData, useQuery } from "@tanstack/react-query";
import { ButtonLink } from "@/components/button-link";
import { type Column, DataTable } from "@/components/data-table";
import { EmptyState } from "@/components/empty-state";
import { formatMoment } from "@/components/format-moment";
import { PageHeader } from "@/components/page-header";
import { SearchField } from "@/components/search-field";
import { StateBadge } from "@/components/state-badge";
import type { TableShape } from "@/components/table-state";
import { TextLink } from "@/components/text-link";
import { useTableState } from "@/components/use-table-state";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import classes from "./trial.module.css";
import { TrialSections } from "./trial-sections";
import { trialStateOrder, trialStates } from "./trial-words";

type Row = Outputs["trial"]["list"]["rows"][number];
type Sort = "volunteer" | "condition" | "occasion" | "state" | "changed";
type Filter = "volunteer" | "state" | "condition";

const shape: TableShape<Sort, Filter> = {
  sorts: ["volunteer", "condition", "occasion", "state", "changed"],
  defaultSort: "volunteer",
  filters: ["volunteer", "state", "condition"],
  pageSize: 50,
};

export function TrialList() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const controls = useTableState(shape);
  const { page, pageSize, sort, direction, filters } = controls.state;
  const state = trialStateOrder.find((known) => known === filters.state);
  const list = useQuery(
    trpc.trial.list.queryOptions(
      {
        studyId,
        page,
        pageSize,
        sort,
        direction,
        states: state === undefined ? [] : [state],
        ...(filters.condition === undefined ? {} : { conditionKey: filters.condition }),
        ...(filters.volunteer === undefined ? {} : { volunteer: filters.volunteer }),
      },
      { placeholderData: keepPreviousData },
    ),
  );
  const base = `/studies/${studyId}/trials`;
  const plan = may("trial.plan") ? (
    <ButtonLink href={`${base}/new`} variant="filled">
      Plan a trial
    </ButtonLink>
  ) : undefined;
  const header = (
    <>
      <PageHeader
        title="Trials"
        summary="One volunteer, one condition, one occasion each."
        {...(plan !== undefined && (list.data?.inStudy ?? 0) > 0 ? { actions: plan } : {})}
      />
      <TrialSections />
    </>
  );
  if (list.isError) {
    return (
      <>
        {header}
        <QueryError error={list.error} what="the trials" onRetry={() => list.refetch()} />
      </>
    );
  }
  const columns: Column<Row, Sort>[] = [
    {
      id: "volunteer",
      header: "Volunteer",
      sort: "volunteer",
      cell: (row) => <TextLink href={`${base}/${row.trialId}`}>{row.volunteerCode}</TextLink>,
    },
    {
      id: "condition",
      header: "Condition",
      sort: "condition",
      minWidth: 110,
      cell: (row) => row.conditionName,
    },
    {
      id: "occasion",
      header: "Occasion",
      sort: "occasion",
      align: "right",
      cell: (row) => (row.attempt > 1 ? `${row.occasion} (attempt ${row.attempt})` : row.occasion),
    },
    {
      id: "state",
      header: "State",
      sort: "state",
      minWidth: 120,
      cell: (row) => {
        const { name, shape: badge, tone } = trialStates[row.state];
        return (
          <>
            <StateBadge shape={badge} tone={tone}>
              {name}
            </StateBadge>
            {!row.consentInForce && (
              <div>
                <StateBadge shape="alert" tone="stop">
                  {row.storedUse ? "stopped: nothing new" : "no consent in force"}
                </StateBadge>
              </div>
            )}
          </>
        );
      },
    },
    { id: "files", header: "Source files", align: "right", cell: (row) => row.sourceFiles },
    {
      id: "changed",
      header: "State since",
      sort: "changed",
      minWidth: 150,
      cell: (row) => <span className={`numbers ${classes.moment}`}>{formatMoment(row.stateChangedAt)}</span>,
    },
    { id: "reason", header: "Why set aside", minWidth: 120, cell: (row) => row.setAsideReason },
  ];
  return (
    <>
      {header}
      <DataTable
        label="Trials"
        columns={columns}
        rows={list.data?.rows}
        rowKey={(row) => row.trialId}
        total={list.data?.total}
        controls={controls}
        pending={list.isPlaceholderData}
        stacked
        filters={
          <>
            <SearchField
              label="Volunteer code"
              value={filters.volunteer ?? ""}
              onChange={(value) => controls.setFilter("volunteer", value)}
              width={160}
            />
            <NativeSelect
              label="State"
              value={state ?? ""}
              onChange={(event) => controls.setFilter("state", event.currentTarget.value)}
              data={[
                { value: "", label: "all states" },
                ...trialStateOrder.map((known) => ({ value: known, label: trialStates[known].name })),
              ]}
            />
            <NativeSelect
              label="Condition"
              value={filters.condition ?? ""}
              onChange={(event) => controls.setFilter("condition", event.currentTarget.value)}
              data={[
                { value: "", label: "all conditions" },
                ...(list.data?.conditions ?? []).map(({ key, name }) => ({ value: key, label: name })),
              ]}
            />
          </>
        }
        empty={
          <EmptyState title="No trial is planned yet." {...(plan === undefined ? {} : { action: plan })}>
            A trial needs a protocol in force and a volunteer whose consent permits taking part and recording.
            Plan it first; then enter the room and upload what the instrument exported.
          </EmptyState>
        }
      />
    </>
  );
}
