"use client";

import { Button, Group, NativeSelect, Stack, Text, TextInput } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { z } from "zod";
import { KeyValueList } from "@/components/key-value-list";
import { NumberField } from "@/components/number-field";
import { SectionHeading } from "@/components/section-heading";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";
import classes from "./volunteer.module.css";
import { type Sex, sexes, sexNames, type Volunteer } from "./words";

export function VolunteerDetails({ volunteer }: { readonly volunteer: Volunteer }) {
  const { may } = useStudy();
  const [editing, setEditing] = useState(false);
  return (
    <section aria-labelledby="details">
      <SectionHeading
        id="details"
        actions={
          may("volunteer.update") && !editing ? (
            <Button onClick={() => setEditing(true)}>Edit details</Button>
          ) : undefined
        }
      >
        Details
      </SectionHeading>
      {editing ? (
        <DetailsForm volunteer={volunteer} onDone={() => setEditing(false)} />
      ) : (
        <KeyValueList
          items={[
            { label: "Sex", value: sexNames[volunteer.sex] },
            {
              label: "Birth year",
              value: volunteer.birthYear ?? "not stated",
              ...(volunteer.remarks.length === 0 ? {} : { note: volunteer.remarks.join(" ") }),
            },
            { label: "Registered", value: volunteer.registeredAt.slice(0, 10) },
          ]}
        />
      )}
    </section>
  );
}

const saved = z.object({
  revision: z.number(),
  code: z.string(),
  sex: z.enum(["female", "male", "other", "not_stated"]),
  birthYear: z.number().nullable(),
});

interface DetailsFormProps {
  readonly volunteer: Volunteer;
  readonly onDone: () => void;
}

function DetailsForm({ volunteer, onDone }: DetailsFormProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  // What was there when editing began: a newer answer of the server must not change the form under the hands.
  const [began] = useState(volunteer);
  const [code, setCode] = useState(volunteer.code);
  const [sex, setSex] = useState<Sex>(volunteer.sex);
  const [birthYear, setBirthYear] = useState(volunteer.birthYear);
  const update = useMutation(trpc.volunteer.update.mutationOptions());
  const failure = update.error === null ? null : failureOf(update.error);
  const theirs = update.error === null ? null : changedMeanwhile(update.error, saved);
  const errors = failure?.fields ?? {};

  const finish = async () => {
    await queries.invalidateQueries({ queryKey: trpc.volunteer.pathKey() });
    onDone();
  };
  const save = (revision: number) =>
    update.mutate(
      { studyId, volunteerId: volunteer.volunteerId, revision, code, sex, birthYear },
      { onSuccess: finish },
    );
  const submit = (event: FormEvent) => {
    event.preventDefault();
    save(theirs?.revision ?? began.revision);
  };
  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md">
        {theirs !== null && (
          <UnsavedConflict
            record="this volunteer"
            fields={[
              { label: "Code", mine: code, theirs: theirs.code },
              { label: "Sex", mine: sexNames[sex], theirs: sexNames[theirs.sex] },
              {
                label: "Birth year",
                mine: birthYear ?? "not stated",
                theirs: theirs.birthYear ?? "not stated",
              },
            ].filter((field) => field.mine !== field.theirs)}
            onKeepMine={() => save(theirs.revision)}
            onTakeTheirs={finish}
            pending={update.isPending}
          />
        )}
        <div className={classes.fields}>
          <TextInput
            label="Code"
            w={200}
            value={code}
            autoComplete="off"
            onChange={(event) => setCode(event.currentTarget.value)}
            error={errors.code}
          />
          <NativeSelect
            label="Sex"
            w={180}
            data={sexes.map((value) => ({ value, label: sexNames[value] }))}
            value={sex}
            onChange={(event) => setSex(sexes.find((known) => known === event.currentTarget.value) ?? sex)}
            error={errors.sex}
          />
          <NumberField
            label="Birth year"
            digits={0}
            width={160}
            value={birthYear}
            onChange={setBirthYear}
            error={errors.birthYear}
          />
        </div>
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
