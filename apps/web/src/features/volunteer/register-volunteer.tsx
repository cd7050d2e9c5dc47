"use client";

import { Button, Group, NativeSelect, Stack, Text, TextInput } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { type FormEvent, useState } from "react";
import { ButtonLink } from "@/components/button-link";
import { Caution } from "@/components/caution";
import { EmptyState } from "@/components/empty-state";
import { NumberField } from "@/components/number-field";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { BodyMeasuresFields } from "./body-fields";
import { bodyInput, emptyBody, isEmptyBody } from "./body-form";
import classes from "./volunteer.module.css";
import { type Sex, sexes, sexNames } from "./words";

export function RegisterVolunteerScreen() {
  const { studyId, may } = useStudy();
  const base = `/studies/${studyId}/volunteers`;
  return (
    <>
      <PageHeader title="Register a volunteer" trail={[{ label: "Volunteers", href: base }]} />
      {may("volunteer.register") ? (
        <RegisterForm base={base} />
      ) : (
        <EmptyState title="You cannot register volunteers.">
          Lead investigators and operators of this study can.
        </EmptyState>
      )}
    </>
  );
}

function RegisterForm({ base }: { readonly base: string }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const router = useRouter();
  const [code, setCode] = useState("");
  const [sex, setSex] = useState<Sex | "">("");
  const [birthYear, setBirthYear] = useState<number | null>(null);
  const [body, setBody] = useState(emptyBody);
  const [complaint, setComplaint] = useState<string | null>(null);
  const register = useMutation(trpc.volunteer.register.mutationOptions());
  const failure = register.error === null ? null : failureOf(register.error);
  const errors = failure?.fields ?? {};

  const submit = (event: FormEvent) => {
    event.preventDefault();
    setComplaint(sex === "" ? "Choose one; “not stated” is an answer as well." : null);
    if (sex === "") return;
    register.mutate(
      {
        studyId,
        sex,
        birthYear,
        ...(code.trim() === "" ? {} : { code }),
        ...(isEmptyBody(body) ? {} : { bodyMeasures: bodyInput(body) }),
      },
      {
        onSuccess: async ({ volunteerId }) => {
          await Promise.all([
            queries.invalidateQueries({ queryKey: trpc.volunteer.pathKey() }),
            queries.invalidateQueries({ queryKey: trpc.study.pathKey() }),
          ]);
          router.push(`${base}/${volunteerId}`);
        },
      },
    );
  };

  return (
    <form onSubmit={submit} noValidate>
      <Caution>
        Exercise, heat and unclothed skin can harm people. Before a first trial, whoever is responsible
        screens the volunteer; answers that need it are cleared by a licensed professional. Local codes, the
        ethics body's decision and licensed practice prevail.
      </Caution>
      <SectionHeading explanation="No name here: name, contact and date of birth are entered afterwards, apart, and kept encrypted.">
        Volunteer
      </SectionHeading>
      <div className={classes.fields}>
        <TextInput
          label="Code"
          description="Empty: the next free one is given."
          w={240}
          value={code}
          autoComplete="off"
          onChange={(event) => setCode(event.currentTarget.value)}
          error={errors.code}
        />
        <NativeSelect
          label="Sex"
          description="As the volunteer states it."
          w={200}
          data={[
            { value: "", label: "choose" },
            ...sexes.map((value) => ({ value, label: sexNames[value] })),
          ]}
          value={sex}
          onChange={(event) => setSex(sexes.find((known) => known === event.currentTarget.value) ?? "")}
          error={complaint ?? errors.sex}
          required
        />
        <NumberField
          label="Birth year"
          description="Empty if not stated."
          digits={0}
          width={160}
          value={birthYear}
          onChange={setBirthYear}
          error={errors.birthYear}
        />
      </div>
      <SectionHeading explanation="They can be added later, and again at every visit.">
        Body measures
      </SectionHeading>
      <BodyMeasuresFields value={body} onChange={setBody} errors={errors} />
      <Stack mt="lg" gap="md">
        {failure !== null && (
          <Text role="alert" c="var(--mantine-color-error)">
            Not registered. {failure.message}
          </Text>
        )}
        <Group gap="sm">
          <Button type="submit" variant="filled" loading={register.isPending || register.isSuccess}>
            Register
          </Button>
          <ButtonLink href={base}>Cancel</ButtonLink>
        </Group>
      </Stack>
    </form>
  );
}
