"use client";

import { Button, Stack, Text } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { TextLink } from "@/components/text-link";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { type NewAccount, NewAccountFields } from "./new-account-fields";
import { signIn, signOut } from "./sign-in-client";

interface InvitationProps {
  readonly token: string;
  readonly email: string;
}

/** For somebody who has no account yet. */
export function AcceptWithNewAccount({ token, email }: InvitationProps) {
  const trpc = useTRPC();
  const accept = useMutation(trpc.account.acceptInvitation.mutationOptions());
  const [account, setAccount] = useState<NewAccount>({ name: "", email, password: "" });
  const failure = accept.error === null ? null : failureOf(accept.error);
  const errors = failure?.fields ?? {};

  const submit = (event: FormEvent) => {
    event.preventDefault();
    accept.mutate(
      { token, name: account.name, password: account.password },
      {
        onSuccess: async ({ studyId }) => {
          const outcome = await signIn(email, account.password);
          window.location.assign(outcome === "signed in" ? `/studies/${studyId}` : "/sign-in");
        },
      },
    );
  };

  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md">
        <NewAccountFields value={account} onChange={setAccount} errors={errors} emailIsGiven />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message}
          </Text>
        )}
        <div>
          <Button type="submit" variant="filled" loading={accept.isPending || accept.isSuccess}>
            Accept and create my account
          </Button>
        </div>
      </Stack>
    </form>
  );
}

interface AcceptAsMyselfProps extends InvitationProps {
  /** The address of whoever is signed in here, or null. */
  readonly signedInAs: string | null;
}

/** For somebody who has an account already. */
export function AcceptAsMyself({ token, email, signedInAs }: AcceptAsMyselfProps) {
  const trpc = useTRPC();
  const join = useMutation(trpc.account.joinStudy.mutationOptions());
  const back = `/sign-in?then=${encodeURIComponent(`/invitation/${token}`)}`;

  if (signedInAs === null) {
    return (
      <Text>
        {email} has an account here. <TextLink href={back}>Sign in to accept the invitation</TextLink>.
      </Text>
    );
  }
  if (signedInAs !== email) {
    return (
      <Stack gap="md" align="flex-start">
        <Text>
          The invitation is for {email}, but you are signed in as {signedInAs}.
        </Text>
        <Button
          onClick={async () => {
            await signOut();
            window.location.assign(back);
          }}
        >
          Sign out and sign in as {email}
        </Button>
      </Stack>
    );
  }
  return (
    <Stack gap="md" align="flex-start">
      {join.error !== null && (
        <Text role="alert" c="var(--mantine-color-error)">
          {failureOf(join.error).message}
        </Text>
      )}
      <Button
        variant="filled"
        loading={join.isPending || join.isSuccess}
        onClick={() =>
          join.mutate(
            { token },
            { onSuccess: ({ studyId }) => window.location.assign(`/studies/${studyId}`) },
          )
        }
      >
        Accept the invitation
      </Button>
    </Stack>
  );
}
