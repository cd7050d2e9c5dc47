"use client";

import { Button, Group, Stack, Text, Textarea, TextInput } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { type FormEvent, useState } from "react";
import { ButtonLink } from "@/components/button-link";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";

export function CreateStudyForm() {
  const trpc = useTRPC();
  const router = useRouter();
  const create = useMutation(trpc.study.create.mutationOptions());
  const [title, setTitle] = useState("");
  const [summary, setSummary] = useState("");
  const failure = create.error === null ? null : failureOf(create.error);
  const errors = failure?.fields ?? {};

  const submit = (event: FormEvent) => {
    event.preventDefault();
    create.mutate(
      { title, summary },
      {
        onSuccess: ({ studyId }) => {
          router.push(`/studies/${studyId}`);
          router.refresh();
        },
      },
    );
  };

  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md">
        <TextInput
          label="Title"
          name="title"
          value={title}
          onChange={(event) => setTitle(event.currentTarget.value)}
          error={errors.title}
          required
        />
        <Textarea
          label="Summary"
          description="The question, and what is varied. You can change it later."
          name="summary"
          value={summary}
          onChange={(event) => setSummary(event.currentTarget.value)}
          error={errors.summary}
          autosize
          minRows={3}
          maxRows={12}
        />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message}
          </Text>
        )}
        <Group gap="sm">
          <Button type="submit" variant="filled" loading={create.isPending || create.isSuccess}>
            Create the study
          </Button>
          <ButtonLink href="/studies">Cancel</ButtonLink>
        </Group>
      </Stack>
    </form>
  );
}
