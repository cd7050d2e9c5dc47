"use client";

import { NativeSelect } from "@mantine/core";
import { keepPreviousData, useQuery } from "@tanstack/react-query";
import { ButtonLink } from "@/components/button-link";
import { type Column, DataTable } from "@/components/data-table";
import { EmptyState } from "@/components/empty-state";
import { PageHeader } from "@/components/page-header";
import { Quantity } from "@/components/quantity";
import { SearchField } from "@/components/search-field";
import { StateBadge } from "@/components/state-badge";
import type { TableShape } from "@/components/table-state";
import { TextLink } from "@/components/text-link";
import { useTableState } from "@/components/use-table-state";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Inputs, Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import { orderOfKinds } from "./finding-kinds";
import classes from "./quality.module.css";
import { QualityDays } from "./quality-days";

type Row = Outputs["quality"]["ofStudy"]["rows"][number];
type Sort = NonNullable<Inputs["quality"]["ofStudy"]["sort"]>;
type Filter = "volunteer" | "condition" | "kind" | "standing";

const shape: TableShape<Sort, Filter> = {
  sorts: ["date", "volunteer", "condition", "open", "step", "drift", "missing"],
  defaultSort: "date",
  defaultDirection: "descending",
  filters: ["volunteer", "condition", "kind", "standing"],
  pageSize: 50,
};

const standings = ["open", "adjusted", "accepted", "dismissed"] as const;

/** Quality over all trials of a study, by day of recording: an instrument that fails shows as a pattern. */
export function QualityScreen() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const controls = useTableState(shape);
  const { page, pageSize, sort, direction, filters } = controls.state;
  const kind = orderOfKinds.find((known) => known === filters.kind);
  const standing = standings.find((known) => known === filters.standing);
  const list = useQuery(
    trpc.quality.ofStudy.queryOptions(
      {
        studyId,
        page,
        pageSize,
        sort,
        direction,
        kinds: kind === undefined ? [] : [kind],
        standing: standing ?? "any",
        ...(filters.condition === undefined ? {} : { conditionKey: filters.condition }),
        ...(filters.volunteer === undefined ? {} : { volunteer: filters.volunteer }),
      },
      {
        placeholderData: keepPreviousData,
        // What the server has not checked yet it checks while it is asked again.
        refetchInterval: ({ state }) => ((state.data?.waiting ?? 0) > 0 ? 1000 : false),
      },
    ),
  );
  const header = (
    <PageHeader
      title="Quality"
      summary="What the checks noticed in every trial, by the day of its recording: an instrument that fails shows as a pattern across days."
    />
  );
  if (list.isError) {
    return (
      <>
        {header}
        <QueryError error={list.error} what="the quality of the trials" onRetry={() => list.refetch()} />
      </>
    );
  }
  const { data } = list;
  return (
    <>
      {header}
      {data !== undefined && data.waiting > 0 && (
        <p role="status" className={classes.told}>
          {data.waiting} {data.waiting === 1 ? "file is" : "files are"} still being checked …
        </p>
      )}
      {data !== undefined && data.withoutConsent > 0 && (
        <p className={classes.told}>
          {data.withoutConsent} {data.withoutConsent === 1 ? "trial is" : "trials are"} not shown: no consent
          is in force for {data.withoutConsent === 1 ? "it" : "them"}.
        </p>
      )}
      {data !== undefined && data.recordings.length > 0 && (
        <QualityDays recordings={data.recordings} filtered={controls.filtered} />
      )}
      <DataTable
        label="Quality of the trials"
        columns={columns(`/studies/${studyId}/trials`)}
        rows={data?.rows}
        rowKey={(row) => row.trialId}
        total={data?.total}
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
              label="Condition"
              value={filters.condition ?? ""}
              onChange={(event) => controls.setFilter("condition", event.currentTarget.value)}
              data={[
                { value: "", label: "all conditions" },
                ...(data?.conditions ?? []).map(({ key, name }) => ({ value: key, label: name })),
              ]}
            />
            <NativeSelect
              label="Kind of finding"
              value={kind ?? ""}
              onChange={(event) => controls.setFilter("kind", event.currentTarget.value)}
              data={[{ value: "", label: "any or none" }, ...orderOfKinds]}
            />
            <NativeSelect
              label="Findings that are"
              value={standing ?? ""}
              onChange={(event) => controls.setFilter("standing", event.currentTarget.value)}
              data={[{ value: "", label: "open or settled" }, ...standings]}
            />
          </>
        }
        empty={
          <EmptyState
            title="No source file has been read yet."
            action={<ButtonLink href={`/studies/${studyId}/trials`}>To the trials</ButtonLink>}
          >
            Every file is checked when it is read: gaps, spikes, stuck values, steps and drifts that all
            regions share. Plan a trial, upload what the instrument exported, and confirm its column map.
          </EmptyState>
        }
      />
    </>
  );
}

function columns(base: string): Column<Row, Sort>[] {
  return [
    {
      id: "volunteer",
      header: "Volunteer",
      sort: "volunteer",
      cell: (row) => <TextLink href={`${base}/${row.trialId}#quality`}>{row.volunteerCode}</TextLink>,
    },
    {
      id: "condition",
      header: "Condition",
      sort: "condition",
      minWidth: 140,
      cell: (row) => `${row.conditionName}, occasion ${row.occasion}`,
    },
    {
      id: "date",
      header: "Recorded",
      sort: "date",
      minWidth: 100,
      cell: (row) => <span className={`numbers ${classes.day}`}>{row.recordedOn ?? "–"}</span>,
    },
    {
      id: "step",
      header: "Step",
      sort: "step",
      align: "right",
      cell: (row) => size(row.stepC, "°C"),
    },
    {
      id: "drift",
      header: "Drift",
      sort: "drift",
      align: "right",
      cell: (row) => size(row.driftC, "°C"),
    },
    {
      id: "missing",
      header: "Missing",
      sort: "missing",
      align: "right",
      cell: (row) => <Quantity value={row.missingShare === null ? null : row.missingShare * 100} unit="%" />,
    },
    {
      id: "other",
      header: "Others",
      minWidth: 150,
      cell: (row) =>
        row.kinds
          .filter(
            ({ kind }) => !(kind === "common step" || kind === "common drift" || kind === "reference drift"),
          )
          .map(({ kind, count }) => `${kind} ${count}×`)
          .join(", "),
    },
    {
      id: "open",
      header: "Findings",
      sort: "open",
      minWidth: 110,
      cell: (row) => <Standing row={row} />,
    },
  ];
}

const size = (value: number | null, unit: string) =>
  value === null ? (
    <span className={classes.quiet}>none</span>
  ) : (
    <Quantity value={value} unit={unit} digits={2} signed />
  );

function Standing({ row }: { readonly row: Row }) {
  if (row.files.some(({ waiting }) => waiting)) return <StateBadge shape="half">being checked</StateBadge>;
  if (row.findings === 0) return <StateBadge shape="tick">none</StateBadge>;
  const settled = standings
    .filter((standing) => standing !== "open" && row[standing] > 0)
    .map((standing) => `${row[standing]} ${standing}`);
  return (
    <>
      <StateBadge shape={row.open > 0 ? "open" : "tick"}>{row.open} open</StateBadge>
      {settled.length > 0 && <div className={classes.quiet}>{settled.join(", ")}</div>}
    </>
  );
}
