"use client";

import { Button, Group, Stack, Text, Textarea, TextInput } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { z } from "zod";
import { toLocalDay } from "@/components/local-moment";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";

interface IdentityFormProps {
  readonly volunteerId: string;
  readonly revision: number;
  /** What stands there, when it was shown; null while nothing is entered. */
  readonly began: { readonly name: string; readonly contact: string; readonly dateOfBirth: string } | null;
  readonly onDone: () => void;
  readonly onCancel: () => void;
}

/** Somebody else's version is not sent along: it would be a reading without an audit entry. */
const savedMeanwhile = z.object({ revision: z.number() });

export function IdentityForm({ volunteerId, revision, began, onDone, onCancel }: IdentityFormProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const [name, setName] = useState(began?.name ?? "");
  const [contact, setContact] = useState(began?.contact ?? "");
  const [dateOfBirth, setDateOfBirth] = useState(began?.dateOfBirth ?? "");
  const save = useMutation(trpc.identity.save.mutationOptions({ gcTime: 0 }));
  const failure = save.error === null ? null : failureOf(save.error);
  const errors = failure?.fields ?? {};
  const theirs = save.error === null ? null : changedMeanwhile(save.error, savedMeanwhile);
  const submit = (event: FormEvent) => {
    event.preventDefault();
    save.mutate(
      { studyId, volunteerId, revision: theirs?.revision ?? revision, name, contact, dateOfBirth },
      {
        onSuccess: async () => {
          await queries.invalidateQueries({ queryKey: trpc.volunteer.pathKey() });
          onDone();
        },
      },
    );
  };
  return (
    <form onSubmit={submit} noValidate autoComplete="off">
      <Stack gap="md" maw={480}>
        <TextInput
          label="Name"
          value={name}
          onChange={(event) => setName(event.currentTarget.value)}
          error={errors.name}
        />
        <Textarea
          label="Contact"
          description="E-mail, telephone, address: what you need to reach the volunteer."
          autosize
          minRows={2}
          maxRows={6}
          value={contact}
          onChange={(event) => setContact(event.currentTarget.value)}
          error={errors.contact}
        />
        <TextInput
          type="date"
          label="Date of birth"
          w={200}
          max={toLocalDay(new Date())}
          value={dateOfBirth}
          onChange={(event) => setDateOfBirth(event.currentTarget.value)}
          error={errors.dateOfBirth}
        />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message}
          </Text>
        )}
        <Group gap="sm">
          <Button type="submit" variant="filled" loading={save.isPending}>
            {theirs === null ? "Save identity" : "Save mine over it"}
          </Button>
          <Button onClick={onCancel} disabled={save.isPending}>
            Cancel
          </Button>
        </Group>
      </Stack>
    </form>
  );
}
