"use client";

import { Button, Stack, Text, TextInput } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { type NewAccount, NewAccountFields } from "./new-account-fields";
import { signIn } from "./sign-in-client";

export function FirstAccountForm() {
  const trpc = useTRPC();
  const create = useMutation(trpc.account.createFirst.mutationOptions());
  const [code, setCode] = useState("");
  const [account, setAccount] = useState<NewAccount>({ name: "", email: "", password: "" });
  const failure = create.error === null ? null : failureOf(create.error);
  const errors = failure?.fields ?? {};

  const submit = (event: FormEvent) => {
    event.preventDefault();
    create.mutate(
      { code, ...account },
      {
        onSuccess: async () => {
          const outcome = await signIn(account.email, account.password);
          window.location.assign(outcome === "signed in" ? "/studies" : "/sign-in");
        },
      },
    );
  };

  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md">
        <TextInput
          label="One-time code"
          description="The terminal in which Acral was started prints it. Each start prints a new one."
          name="code"
          autoComplete="one-time-code"
          value={code}
          onChange={(event) => setCode(event.currentTarget.value)}
          error={errors.code}
          required
        />
        <NewAccountFields value={account} onChange={setAccount} errors={errors} />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message}
          </Text>
        )}
        <div>
          <Button type="submit" variant="filled" loading={create.isPending || create.isSuccess}>
            Create the first account
          </Button>
        </div>
      </Stack>
    </form>
  );
}
