"use client";

import { Button, Group, Stack, Text, Textarea, TextInput } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { type FormEvent, useState } from "react";
import { z } from "zod";
import { NumberField } from "@/components/number-field";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";

interface StudyDetails {
  readonly studyId: string;
  readonly revision: number;
  readonly title: string;
  readonly summary: string;
  readonly smallestGroup: number;
}

interface StudyDetailsFormProps {
  readonly study: StudyDetails;
  readonly onDone: () => void;
}

const saved = z.object({
  revision: z.number(),
  title: z.string(),
  summary: z.string(),
  smallestGroup: z.number(),
});

export function StudyDetailsForm({ study, onDone }: StudyDetailsFormProps) {
  const trpc = useTRPC();
  const router = useRouter();
  const queries = useQueryClient();
  const update = useMutation(trpc.study.update.mutationOptions());
  // What was there when editing began: a newer answer of the server must not change the form under the hands.
  const [began] = useState(study);
  const [title, setTitle] = useState(study.title);
  const [summary, setSummary] = useState(study.summary);
  const [smallestGroup, setSmallestGroup] = useState<number | null>(study.smallestGroup);

  const failure = update.error === null ? null : failureOf(update.error);
  const theirs = update.error === null ? null : changedMeanwhile(update.error, saved);
  const errors = failure?.fields ?? {};

  const finish = async () => {
    await queries.invalidateQueries({ queryKey: trpc.study.get.queryKey({ studyId: study.studyId }) });
    router.refresh();
    onDone();
  };
  const save = (revision: number) =>
    update.mutate(
      { studyId: study.studyId, revision, title, summary, smallestGroup: smallestGroup ?? 0 },
      { onSuccess: finish },
    );
  const submit = (event: FormEvent) => {
    event.preventDefault();
    save(theirs?.revision ?? began.revision);
  };

  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md" maw={640}>
        {theirs !== null && (
          <UnsavedConflict
            record="these details"
            fields={[
              { label: "Title", mine: title, theirs: theirs.title },
              { label: "Summary", mine: summary, theirs: theirs.summary },
              { label: "Smallest group", mine: smallestGroup ?? "–", theirs: theirs.smallestGroup },
            ].filter((field) => field.mine !== field.theirs)}
            onKeepMine={() => save(theirs.revision)}
            onTakeTheirs={finish}
            pending={update.isPending}
          />
        )}
        <TextInput
          label="Title"
          value={title}
          onChange={(event) => setTitle(event.currentTarget.value)}
          error={errors.title}
          required
        />
        <Textarea
          label="Summary"
          value={summary}
          onChange={(event) => setSummary(event.currentTarget.value)}
          error={errors.summary}
          autosize
          minRows={3}
          maxRows={16}
        />
        <NumberField
          label="Smallest group"
          description="A release shows no combination of body data that fewer volunteers share."
          unit="volunteers"
          digits={0}
          value={smallestGroup}
          onChange={setSmallestGroup}
          error={errors.smallestGroup}
          width={240}
          required
        />
        {failure !== null && theirs === null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message}
          </Text>
        )}
        {theirs === null && (
          <Group gap="sm">
            <Button type="submit" variant="filled" loading={update.isPending}>
              Save
            </Button>
            <Button onClick={onDone} disabled={update.isPending}>
              Cancel
            </Button>
          </Group>
        )}
      </Stack>
    </form>
  );
}
