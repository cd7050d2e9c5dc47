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
import { VolunteerSections } from "@/features/consent/volunteer-sections";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { FindByIdentity } from "./find-by-identity";
import classes from "./volunteer.module.css";
import { participationSigns, participations, sexes, sexNames, type VolunteerRow } from "./words";

type Sort = "code" | "birthYear" | "registeredAt";
type Filter = "search" | "sex" | "participation";

const shape: TableShape<Sort, Filter> = {
  sorts: ["code", "birthYear", "registeredAt"],
  defaultSort: "code",
  filters: ["search", "sex", "participation"],
};

export function VolunteerList() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const controls = useTableState(shape);
  const { page, pageSize, sort, direction, filters } = controls.state;
  const sex = sexes.find((known) => known === filters.sex);
  const participation = participations.find((known) => known === filters.participation);
  const list = useQuery(
    trpc.volunteer.list.queryOptions(
      {
        studyId,
        page,
        pageSize,
        sort,
        direction,
        search: filters.search ?? "",
        ...(sex === undefined ? {} : { sex }),
        ...(participation === undefined ? {} : { participation }),
      },
      { placeholderData: keepPreviousData },
    ),
  );
  const base = `/studies/${studyId}/volunteers`;
  const register = may("volunteer.register") ? (
    <ButtonLink href={`${base}/new`} variant="filled">
      Register a volunteer
    </ButtonLink>
  ) : undefined;
  const columns: readonly Column<VolunteerRow, Sort>[] = [
    {
      id: "code",
      header: "Code",
      sort: "code",
      minWidth: 88,
      cell: (row) => (
        <TextLink href={`${base}/${row.volunteerId}`} quiet>
          {row.code}
        </TextLink>
      ),
    },
    {
      id: "participation",
      header: "Takes part",
      minWidth: 130,
      cell: ({ participation: state, participationReason: reason, erasedAt }) =>
        erasedAt !== null ? (
          <span>erased {erasedAt.slice(0, 10)}</span>
        ) : (
          <>
            <StateBadge shape={participationSigns[state].shape} tone={participationSigns[state].tone}>
              {participationSigns[state].words}
            </StateBadge>
            {reason !== null && <div className={classes.note}>{reason}</div>}
          </>
        ),
    },
    {
      id: "permits",
      header: "Permits",
      align: "right",
      cell: ({ permits }) => (permits.asked === 0 ? "–" : `${permits.permitted} of ${permits.asked}`),
    },
    { id: "sex", header: "Sex", minWidth: 90, cell: (row) => sexNames[row.sex] },
    {
      id: "birthYear",
      header: "Birth year",
      sort: "birthYear",
      align: "right",
      cell: (row) => row.birthYear ?? "–",
    },
    {
      id: "height",
      header: "Height",
      unit: "cm",
      align: "right",
      cell: (row) => <Quantity value={row.body?.heightCm ?? null} />,
    },
    {
      id: "mass",
      header: "Mass",
      unit: "kg",
      align: "right",
      cell: (row) => <Quantity value={row.body?.massKg ?? null} />,
    },
    {
      id: "area",
      header: "Surface area",
      unit: "m²",
      align: "right",
      cell: (row) => <Quantity value={row.body?.surfaceAreaM2 ?? null} digits={2} />,
    },
    { id: "trials", header: "Trials", align: "right", cell: (row) => row.trials },
    {
      id: "registeredAt",
      header: "Registered",
      sort: "registeredAt",
      align: "right",
      minWidth: 110,
      cell: (row) => row.registeredAt.slice(0, 10),
    },
  ];

  return (
    <>
      <PageHeader
        title="Volunteers"
        summary="Each is known by a code. Names and contacts are kept apart and encrypted, and are not on this list."
        {...(register === undefined ? {} : { actions: register })}
      />
      <VolunteerSections />
      <FindByIdentity />
      {list.isError ? (
        <QueryError error={list.error} what="the volunteers" onRetry={() => list.refetch()} />
      ) : (
        <DataTable
          label="Volunteers"
          stacked
          columns={columns}
          rows={list.data?.rows}
          total={list.data?.total}
          rowKey={(row) => row.volunteerId}
          controls={controls}
          pending={list.isPlaceholderData}
          filters={
            <>
              <SearchField
                label="Code"
                value={filters.search ?? ""}
                onChange={(value) => controls.setFilter("search", value)}
                width={160}
              />
              <NativeSelect
                label="Takes part"
                data={[
                  { value: "", label: "all" },
                  ...participations.map((value) => ({ value, label: participationSigns[value].words })),
                ]}
                value={participation ?? ""}
                onChange={(event) => controls.setFilter("participation", event.currentTarget.value)}
              />
              <NativeSelect
                label="Sex"
                data={[
                  { value: "", label: "all" },
                  ...sexes.map((value) => ({ value, label: sexNames[value] })),
                ]}
                value={sex ?? ""}
                onChange={(event) => controls.setFilter("sex", event.currentTarget.value)}
              />
            </>
          }
          empty={
            <EmptyState
              title="No volunteer is registered yet."
              {...(register === undefined ? {} : { action: register })}
            >
              Register people by code, with sex, birth year and body measures; then record what they consented
              to.
              {register === undefined ? " Lead investigators and operators register volunteers." : ""}
            </EmptyState>
          }
        />
      )}
    </>
  );
}
