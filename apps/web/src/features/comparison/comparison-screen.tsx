"use client";

import { Button, Group, Stack, Text, TextInput } from "@mantine/core";
import { keepPreviousData, useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { type FormEvent, useState } from "react";
import { z } from "zod";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";
import { QueryError } from "@/trpc/query-error";
import { AnswerView } from "./answer-view";
import classes from "./comparison.module.css";
import { outcomeLabel } from "./outcome-label";
import { QuestionFields } from "./question-fields";
import type { Outcomes, Settings } from "./settings";

export interface SavedComparison {
  readonly comparisonId: string;
  readonly name: string;
  readonly revision: number;
  readonly settings: Settings;
  /** The stored answer no longer fits the data; what is shown is computed from the data of now. */
  readonly outOfDate: boolean;
}

interface ComparisonScreenProps {
  readonly outcomes: Outcomes;
  readonly began: Settings;
  readonly saved: SavedComparison | null;
}

const savedMeanwhile = z.object({ revision: z.number(), name: z.string() });

/** Asks, answers at once, and saves the question with its answer. */
export function ComparisonScreen({ outcomes, began, saved }: ComparisonScreenProps) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const router = useRouter();
  const queries = useQueryClient();
  const [settings, setSettings] = useState(began);
  const [name, setName] = useState(saved?.name ?? "");
  const [revision, setRevision] = useState(saved?.revision ?? 0);
  const [removing, setRemoving] = useState(false);
  const preview = useQuery(
    trpc.comparison.preview.queryOptions({ studyId, settings }, { placeholderData: keepPreviousData }),
  );
  const save = useMutation(trpc.comparison.save.mutationOptions());
  const remove = useMutation(trpc.comparison.remove.mutationOptions());
  const base = `/studies/${studyId}/comparisons`;
  const editable = may("comparison.save");
  const unsaved =
    saved === null || name !== saved.name || JSON.stringify(settings) !== JSON.stringify(saved.settings);

  const failure = save.error === null ? null : failureOf(save.error);
  const theirs = save.error === null ? null : changedMeanwhile(save.error, savedMeanwhile);
  const refused = preview.isError ? failureOf(preview.error) : null;
  const errors = { ...refused?.fields, ...failure?.fields };

  const store = (atRevision: number) =>
    save.mutate(
      {
        studyId,
        comparisonId: saved?.comparisonId ?? null,
        revision: atRevision,
        name: name.trim() || outcomeLabel(settings.outcome),
        settings,
      },
      {
        onSuccess: async (result) => {
          setRevision(result.revision);
          await queries.invalidateQueries({ queryKey: trpc.comparison.pathKey() });
          if (saved === null) router.replace(`${base}/${result.comparisonId}`);
        },
      },
    );
  const submit = (event: FormEvent) => {
    event.preventDefault();
    store(theirs?.revision ?? revision);
  };

  return (
    <>
      <PageHeader
        title={saved?.name ?? "New comparison"}
        trail={[{ label: "Comparisons", href: base }]}
        summary={outcomeLabel(settings.outcome)}
        {...(saved !== null && may("comparison.remove")
          ? { actions: <Button onClick={() => setRemoving(true)}>Remove</Button> }
          : {})}
      />
      <form onSubmit={submit} noValidate>
        <Stack gap="md">
          <QuestionFields
            outcomes={outcomes}
            settings={settings}
            onChange={setSettings}
            errors={errors}
            disabled={!editable}
          />
          {theirs !== null && (
            <UnsavedConflict
              record="this comparison"
              fields={[{ label: "Name", mine: name, theirs: theirs.name }]}
              onKeepMine={() => store(theirs.revision)}
              onTakeTheirs={() => window.location.reload()}
              pending={save.isPending}
            />
          )}
          {editable && theirs === null && (
            <Group gap="sm" align="end">
              <TextInput
                label="Name"
                placeholder={outcomeLabel(settings.outcome)}
                value={name}
                onChange={(event) => setName(event.currentTarget.value)}
                error={errors.name}
                w={480}
                maw="100%"
              />
              <Button
                type="submit"
                variant="filled"
                loading={save.isPending}
                disabled={preview.isPending || (!unsaved && !saved.outOfDate)}
              >
                {saved === null
                  ? "Save comparison"
                  : saved.outOfDate && !unsaved
                    ? "Store the new answer"
                    : "Save changes"}
              </Button>
              {save.isSuccess && !unsaved && <Text role="status">Saved with its answer.</Text>}
            </Group>
          )}
          {failure !== null && theirs === null && (
            <Text role="alert" c="var(--mantine-color-error)">
              {failure.message} Your question is still here.
            </Text>
          )}
        </Stack>
      </form>
      {saved?.outOfDate && !unsaved && (
        <Text role="status" mt="md">
          Out of date: data, consents or the protocol changed since this answer was stored. What is shown is
          computed from the data of now.
        </Text>
      )}
      {refused !== null && Object.keys(refused.fields).length === 0 && (
        <QueryError error={preview.error} what="the answer" onRetry={() => preview.refetch()} />
      )}
      {refused !== null && Object.keys(refused.fields).length > 0 && (
        <Text role="alert" c="var(--mantine-color-error)" mt="md">
          {refused.message}
        </Text>
      )}
      {preview.isPending && <LoadingState label="Computing the answer" lines={8} />}
      {refused === null && preview.data !== undefined && (
        <div className={classes.answer} aria-busy={preview.isPlaceholderData}>
          <AnswerView answer={preview.data.answer} settings={settings} />
        </div>
      )}
      {saved !== null && (
        <ConfirmDialog
          opened={removing}
          onClose={() => setRemoving(false)}
          title="Remove this comparison?"
          confirmLabel="Remove"
          onConfirm={async () => {
            await remove.mutateAsync({ studyId, comparisonId: saved.comparisonId });
            await queries.invalidateQueries({ queryKey: trpc.comparison.pathKey() });
            router.replace(base);
          }}
        >
          The question and its stored answer are removed; the trials stay as they are. The audit trail keeps
          the fact.
        </ConfirmDialog>
      )}
    </>
  );
}
