"use client";

import { Button, Group, NativeSelect, Select, Stack, Text, TextInput } from "@mantine/core";
import { useDebouncedValue } from "@mantine/hooks";
import { keepPreviousData, useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useRouter, useSearchParams } from "next/navigation";
import { type FormEvent, useState } from "react";
import { ButtonLink } from "@/components/button-link";
import { Caution } from "@/components/caution";
import { EmptyState } from "@/components/empty-state";
import { LoadingState } from "@/components/loading-state";
import { fromLocalMoment } from "@/components/local-moment";
import { PageHeader } from "@/components/page-header";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { QueryError } from "@/trpc/query-error";

export function PlanTrial() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const protocols = useQuery(trpc.protocol.list.queryOptions({ studyId }));
  const inForce = protocols.data?.find((version) => version.state === "in_force");
  const protocol = useQuery(
    trpc.protocol.get.queryOptions(
      { studyId, protocolId: inForce?.protocolId ?? "" },
      { enabled: inForce !== undefined },
    ),
  );
  const volunteers = useQuery(
    trpc.volunteer.list.queryOptions({ studyId, participation: "permitted", pageSize: 1 }),
  );
  const header = (
    <PageHeader title="Plan a trial" trail={[{ label: "Trials", href: `/studies/${studyId}/trials` }]} />
  );
  const failed = [protocols, protocol, volunteers].find((query) => query.isError);
  if (failed !== undefined) {
    return (
      <>
        {header}
        <QueryError error={failed.error} what="what can be planned" onRetry={() => failed.refetch()} />
      </>
    );
  }
  if (protocols.data !== undefined && inForce === undefined) {
    return (
      <>
        {header}
        <EmptyState
          title="No protocol is in force."
          action={<ButtonLink href={`/studies/${studyId}/protocol`}>Go to the protocol</ButtonLink>}
        >
          A trial follows the protocol in force: its conditions, occasions and phases. Write the protocol and
          put it in force first.
        </EmptyState>
      </>
    );
  }
  if (protocol.data === undefined || volunteers.data === undefined) {
    return (
      <>
        {header}
        <LoadingState label="Reading protocol and volunteers" />
      </>
    );
  }
  if (volunteers.data.total === 0) {
    return (
      <>
        {header}
        <EmptyState
          title="No volunteer permits taking part."
          action={<ButtonLink href={`/studies/${studyId}/volunteers`}>Go to the volunteers</ButtonLink>}
        >
          No trial is planned without consent in force. Register a volunteer and record the signed decisions
          first.
        </EmptyState>
      </>
    );
  }
  const { content } = protocol.data;
  return (
    <>
      {header}
      <PlanForm
        conditions={content.conditions.map(({ key, name }) => ({ value: key, label: name }))}
        occasions={content.occasions}
      />
    </>
  );
}

/** How many volunteers are offered at once; the rest is found by typing. */
const offered = 50;

interface Choice {
  readonly value: string;
  readonly label: string;
}

interface PlanFormProps {
  readonly conditions: readonly Choice[];
  readonly occasions: number;
}

function PlanForm({ conditions, occasions }: PlanFormProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const router = useRouter();
  const queries = useQueryClient();
  const asked = useSearchParams().get("volunteer");
  const [volunteer, setVolunteer] = useState<Choice | null>(null);
  const [typed, setTyped] = useState("");
  const [search] = useDebouncedValue(typed, 200);
  const found = useQuery(
    trpc.volunteer.list.queryOptions(
      { studyId, participation: "permitted", search, pageSize: offered },
      { placeholderData: keepPreviousData },
    ),
  );
  const preset = useQuery(
    trpc.volunteer.get.queryOptions({ studyId, volunteerId: asked ?? "" }, { enabled: asked !== null }),
  );
  const chosen =
    volunteer ??
    (preset.data === undefined ? null : { value: preset.data.volunteerId, label: preset.data.code });
  const listed = (found.data?.rows ?? []).map(({ volunteerId, code }) => ({
    value: volunteerId,
    label: code,
  }));
  const choices =
    chosen === null || listed.some(({ value }) => value === chosen.value) ? listed : [chosen, ...listed];
  const unlisted = (found.data?.total ?? 0) - (found.data?.rows.length ?? 0);
  const [conditionKey, setConditionKey] = useState(conditions[0]?.value ?? "");
  const [occasion, setOccasion] = useState(1);
  const [plannedFor, setPlannedFor] = useState("");
  const plan = useMutation(trpc.trial.plan.mutationOptions());
  const failure = plan.error === null ? null : failureOf(plan.error);
  const errors = failure?.fields ?? {};
  const existing = failure?.details.trialId;
  const base = `/studies/${studyId}/trials`;

  const submit = (event: FormEvent) => {
    event.preventDefault();
    const moment = fromLocalMoment(plannedFor);
    plan.mutate(
      {
        studyId,
        volunteerId: chosen?.value ?? "",
        conditionKey,
        occasion,
        plannedFor: moment === "" ? null : moment,
      },
      {
        onSuccess: async ({ trialId }) => {
          await queries.invalidateQueries({ queryKey: trpc.trial.list.queryKey() });
          router.push(`${base}/${trialId}`);
        },
      },
    );
  };

  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md" maw={480}>
        <Caution>
          <p>
            Plan only for whom screening permits it. Local codes, the ethics body's decision and licensed
            practice prevail.
          </p>
        </Caution>
        <Select
          label="Volunteer"
          description={`Only volunteers whose consent permits taking part are listed.${
            unlisted > 0 ? ` ${unlisted} more are not shown: type a part of the code.` : ""
          }`}
          placeholder="Type a code"
          data={choices}
          value={chosen?.value ?? null}
          onChange={(value) => setVolunteer(choices.find((choice) => choice.value === value) ?? null)}
          onSearchChange={(text) => setTyped(text === chosen?.label ? "" : text)}
          searchable
          nothingFoundMessage="No volunteer with consent in force has this code."
          error={errors.volunteerId}
          required
        />
        <NativeSelect
          label="Condition"
          data={conditions.map((choice) => ({ ...choice }))}
          value={conditionKey}
          onChange={(event) => setConditionKey(event.currentTarget.value)}
          error={errors.conditionKey}
          required
        />
        <NativeSelect
          label="Occasion"
          description="1 for the first time that this volunteer does this condition, 2 for the second."
          data={Array.from({ length: occasions }, (_, i) => String(i + 1))}
          value={String(occasion)}
          onChange={(event) => setOccasion(Number(event.currentTarget.value))}
          error={errors.occasion}
          required
        />
        <TextInput
          type="datetime-local"
          label="Planned for"
          description="Local date and time; may stay empty."
          value={plannedFor}
          onChange={(event) => setPlannedFor(event.currentTarget.value)}
          error={errors.plannedFor}
        />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message}
          </Text>
        )}
        {typeof existing === "string" && <TextLink href={`${base}/${existing}`}>Open that trial</TextLink>}
        <Group gap="sm">
          <Button type="submit" variant="filled" loading={plan.isPending} disabled={chosen === null}>
            Plan this trial
          </Button>
          <ButtonLink href={base}>Cancel</ButtonLink>
        </Group>
      </Stack>
    </form>
  );
}
