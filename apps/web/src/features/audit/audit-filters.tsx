"use client";

import { NativeSelect, TextInput } from "@mantine/core";
import { useQuery } from "@tanstack/react-query";
import { SearchField } from "@/components/search-field";
import type { TableControls } from "@/components/use-table-state";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { actionName } from "./action-names";
import type { AuditFilterName } from "./audit-filter";

interface AuditFiltersProps {
  readonly controls: TableControls<"at", AuditFilterName>;
}

const everything = (label: string) => ({ value: "", label });

/** Offers what stands in this study's trail, and nothing else. */
export function AuditFilters({ controls }: AuditFiltersProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const choices = useQuery(trpc.audit.choices.queryOptions({ studyId })).data;
  const { filters } = controls.state;
  const actions = (choices?.actions ?? [])
    .map((value) => ({ value, label: actionName(value) }))
    .sort((a, b) => a.label.localeCompare(b.label));
  return (
    <>
      <NativeSelect
        w={180}
        maw="100%"
        label="What was done"
        data={[everything("everything"), ...actions]}
        value={filters.action ?? ""}
        onChange={(event) => controls.setFilter("action", event.currentTarget.value)}
      />
      <NativeSelect
        w={180}
        maw="100%"
        label="By whom"
        data={[
          everything("everybody"),
          ...(choices?.people ?? []).map(({ actorId, name }) => ({ value: actorId, label: name })),
        ]}
        value={filters.person ?? ""}
        onChange={(event) => controls.setFilter("person", event.currentTarget.value)}
      />
      <NativeSelect
        w={180}
        maw="100%"
        label="To what"
        data={[everything("everything"), ...(choices?.subjectKinds ?? [])]}
        value={filters.subject ?? ""}
        onChange={(event) => controls.setFilter("subject", event.currentTarget.value)}
      />
      <SearchField
        label="Volunteer code"
        width={140}
        value={filters.volunteer ?? ""}
        onChange={(value) => controls.setFilter("volunteer", value)}
      />
      <TextInput
        type="datetime-local"
        label="From (UTC)"
        value={filters.from ?? ""}
        onChange={(event) => controls.setFilter("from", event.currentTarget.value)}
      />
      <TextInput
        type="datetime-local"
        label="Before (UTC)"
        value={filters.until ?? ""}
        onChange={(event) => controls.setFilter("until", event.currentTarget.value)}
      />
      <SearchField
        label="Words of subject, person or reason"
        value={filters.search ?? ""}
        onChange={(value) => controls.setFilter("search", value)}
      />
    </>
  );
}
