"use client";

import { Button, Group, Text, TextInput } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { KeyValueList } from "@/components/key-value-list";
import { NumberField } from "@/components/number-field";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import classes from "./retention.module.css";
import { type Part, type Plan, partNames, parts } from "./words";

type Months = Plan["afterEnd"];

/** The names stand in sentences elsewhere; as a label they begin one. */
const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

const monthsText = (months: number | null) => (months === null ? "not stated" : `${months} months`);

/** The times that the ethics body decided, or the study promised in its consent form. */
export function RetentionForm({ plan }: { readonly plan: Plan }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const [endedOn, setEndedOn] = useState(plan.endedOn ?? "");
  const [afterEnd, setAfterEnd] = useState<Months>(plan.afterEnd);
  const [afterWithdrawal, setAfterWithdrawal] = useState<Months>(plan.afterWithdrawal);
  const save = useMutation(
    trpc.retention.savePlan.mutationOptions({
      onSuccess: () => queries.invalidateQueries(trpc.retention.due.queryFilter()),
    }),
  );
  const failure = save.error === null ? null : failureOf(save.error);
  const submit = (event: FormEvent) => {
    event.preventDefault();
    save.mutate({
      studyId,
      revision: plan.revision,
      endedOn: endedOn === "" ? null : endedOn,
      afterEnd,
      afterWithdrawal,
    });
  };
  const fields = (
    name: "afterEnd" | "afterWithdrawal",
    months: Months,
    change: (part: Part, value: number | null) => void,
  ) =>
    parts.map((part) => (
      <NumberField
        key={part}
        label={capital(partNames[part])}
        unit="months"
        digits={0}
        value={months[part]}
        onChange={(value) => change(part, value)}
        error={failure?.fields[`${name}.${part}`]}
      />
    ));
  return (
    <section aria-labelledby="plan">
      <SectionHeading
        id="plan"
        explanation="As the ethics body decided and the consent form says. The earlier of two dates counts; an empty field states nothing. Consent records go last. With the identity go preferences and answers to the screening."
      >
        How long it is kept
      </SectionHeading>
      {may("retention.savePlan") ? (
        <form onSubmit={submit}>
          <div className={classes.fields}>
            <TextInput
              type="date"
              label="The study ended on"
              value={endedOn}
              onChange={(event) => setEndedOn(event.currentTarget.value)}
              error={failure?.fields.endedOn}
            />
          </div>
          <fieldset className={classes.fields}>
            <legend>After the end of the study</legend>
            {fields("afterEnd", afterEnd, (part, value) => setAfterEnd({ ...afterEnd, [part]: value }))}
          </fieldset>
          <fieldset className={classes.fields}>
            <legend>After a volunteer withdrew everything</legend>
            {fields("afterWithdrawal", afterWithdrawal, (part, value) =>
              setAfterWithdrawal({ ...afterWithdrawal, [part]: value }),
            )}
          </fieldset>
          {failure !== null && (
            <Text role="alert" c="var(--mantine-color-error)" mb="sm">
              {failure.message} What you entered is still here.
            </Text>
          )}
          <Group gap="sm">
            <Button type="submit" variant="filled" loading={save.isPending}>
              Save
            </Button>
          </Group>
        </form>
      ) : (
        <KeyValueList
          items={[
            { label: "The study ended on", value: plan.endedOn ?? "not stated" },
            ...parts.map((part) => ({
              label: capital(partNames[part]),
              value: `${monthsText(plan.afterEnd[part])} after the end, ${monthsText(plan.afterWithdrawal[part])} after a withdrawal`,
            })),
          ]}
        />
      )}
    </section>
  );
}
