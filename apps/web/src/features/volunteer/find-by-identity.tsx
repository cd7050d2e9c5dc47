"use client";

import { Button, Group, Text, TextInput } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { Disclosure } from "@/components/disclosure";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import classes from "./volunteer.module.css";

/** Somebody calls and says a name: which code is this? The answer is a code, and the search is in the audit trail. */
export function FindByIdentity() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const [text, setText] = useState("");
  // Held by this component alone: neither the text nor the answer stays in the cache of queries.
  const find = useMutation(trpc.identity.find.mutationOptions({ gcTime: 0 }));
  if (!may("identity.find")) return null;
  const failure = find.error === null ? null : failureOf(find.error);
  const submit = (event: FormEvent) => {
    event.preventDefault();
    find.mutate({ studyId, text });
  };
  return (
    <Disclosure summary="Find a code by name or contact">
      <form onSubmit={submit}>
        <Group gap="sm" align="flex-start">
          <TextInput
            label="Whole name or contact"
            description="Exactly as it was entered; letter case and spaces do not matter. The audit trail keeps that you searched, not what for."
            value={text}
            onChange={(event) => {
              setText(event.currentTarget.value);
              find.reset();
            }}
            error={failure?.fields.text}
            autoComplete="off"
            maxLength={500}
            required
            className={classes.find}
          />
        </Group>
        <Group gap="sm" mt="sm">
          <Button type="submit" loading={find.isPending}>
            Find
          </Button>
          <span role="status">
            {find.data === undefined ? null : find.data.volunteers.length === 0 ? (
              "Nobody in this study is entered with exactly this name or contact."
            ) : (
              <>
                {find.data.volunteers.length === 1 ? "This is " : "These are "}
                {find.data.volunteers.map(({ volunteerId, code }, index) => (
                  <span key={volunteerId}>
                    {index > 0 && ", "}
                    <TextLink href={`/studies/${studyId}/volunteers/${volunteerId}`}>{code}</TextLink>
                  </span>
                ))}
                .
              </>
            )}
          </span>
        </Group>
        {failure !== null && failure.fields.text === undefined && (
          <Text role="alert" c="var(--mantine-color-error)" mt="sm">
            {failure.message}
          </Text>
        )}
      </form>
    </Disclosure>
  );
}
