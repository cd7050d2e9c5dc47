"use client";

import { Button, Checkbox, Group, Radio, Stack, Text, TextInput } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { z } from "zod";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { changedMeanwhile, failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";

type Stated = Pick<
  Outputs["preference"]["ofVolunteer"],
  "operator" | "companionPresent" | "noFace" | "clothing" | "other" | "revision"
>;

const theirPreferences = z.object({
  revision: z.number(),
  operator: z.enum(["none", "female", "male"]),
  companionPresent: z.boolean(),
  noFace: z.boolean(),
  clothing: z.string(),
  other: z.string(),
});

const operators = { none: "no preference", female: "a woman", male: "a man" } as const;

interface PreferenceFormProps {
  readonly began: Stated;
  readonly onSave: (stated: Stated) => Promise<{ readonly revision: number }>;
  /** Left out where the form stands for itself. */
  readonly onDone?: () => void;
}

/** What a volunteer prefers, entered by one of the team or by the volunteer. */
export function PreferenceForm({ began, onSave, onDone }: PreferenceFormProps) {
  const [stated, setStated] = useState<Stated>(() => ({
    operator: began.operator,
    companionPresent: began.companionPresent,
    noFace: began.noFace,
    clothing: began.clothing,
    other: began.other,
    revision: began.revision,
  }));
  const save = useMutation({ mutationFn: onSave });
  const failure = save.error === null ? null : failureOf(save.error);
  const theirs = save.error === null ? null : changedMeanwhile(save.error, theirPreferences);
  const set = (change: Partial<Stated>) => {
    setStated((now) => ({ ...now, ...change }));
    if (save.isSuccess) save.reset();
  };
  const saveAt = (revision: number) =>
    save.mutate(
      { ...stated, revision },
      {
        onSuccess: (answer) => {
          setStated((now) => ({ ...now, revision: answer.revision }));
          onDone?.();
        },
      },
    );
  const submit = (event: FormEvent) => {
    event.preventDefault();
    saveAt(theirs?.revision ?? stated.revision);
  };
  const inWords = (one: Omit<Stated, "revision">) =>
    [
      operators[one.operator],
      one.companionPresent ? "companion" : "",
      one.noFace ? "no face" : "",
      one.clothing,
      one.other,
    ]
      .filter((text) => text !== "")
      .join("; ");
  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md" maw={640}>
        {theirs !== null && (
          <UnsavedConflict
            record="these preferences"
            fields={[{ label: "Preferences", mine: inWords(stated), theirs: inWords(theirs) }]}
            onKeepMine={() => saveAt(theirs.revision)}
            onTakeTheirs={() => {
              save.reset();
              setStated(theirs);
            }}
            pending={save.isPending}
          />
        )}
        <Radio.Group
          label="Who runs the trial"
          value={stated.operator}
          onChange={(value) => set({ operator: value === "female" || value === "male" ? value : "none" })}
        >
          <Group gap="md" mt="xs">
            {Object.entries(operators).map(([value, label]) => (
              <Radio key={value} value={value} label={label} />
            ))}
          </Group>
        </Radio.Group>
        <Checkbox
          label="Somebody of the volunteer's own choice is in the room"
          checked={stated.companionPresent}
          onChange={(event) => set({ companionPresent: event.currentTarget.checked })}
        />
        <Checkbox
          label="No picture shows the face"
          checked={stated.noFace}
          onChange={(event) => set({ noFace: event.currentTarget.checked })}
        />
        <TextInput
          label="Clothing"
          value={stated.clothing}
          onChange={(event) => set({ clothing: event.currentTarget.value })}
          error={failure?.fields.clothing}
        />
        <TextInput
          label="Anything else"
          description="In a few words, and without a name."
          value={stated.other}
          onChange={(event) => set({ other: event.currentTarget.value })}
          error={failure?.fields.other}
        />
        {failure !== null && theirs === null && (
          <Text role="alert" c="var(--mantine-color-error)">
            Not saved. {failure.message}
          </Text>
        )}
        {save.isSuccess && onDone === undefined && <Text role="status">What you prefer is saved.</Text>}
        {theirs === null && (
          <Group gap="sm">
            <Button type="submit" variant="filled" loading={save.isPending}>
              Save preferences
            </Button>
            {onDone !== undefined && (
              <Button onClick={onDone} disabled={save.isPending}>
                Cancel
              </Button>
            )}
          </Group>
        )}
      </Stack>
    </form>
  );
}
