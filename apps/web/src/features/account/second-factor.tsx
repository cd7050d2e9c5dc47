"use client";

import { Button, Group, Stack, Text } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { SectionHeading } from "@/components/section-heading";
import { useAttempt } from "@/components/use-attempt";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { RecoveryCodes } from "./recovery-codes";
import { CodeDialog } from "./second-factor-code";
import { SetUpSecondFactor } from "./set-up-second-factor";

/** What is asked for beside the password: set up, looked after and taken off here. */
export function SecondFactor() {
  const trpc = useTRPC();
  const queries = useQueryClient();
  const state = useQuery(trpc.secondFactor.state.queryOptions());
  const begin = useMutation(trpc.secondFactor.begin.mutationOptions());
  const confirm = useMutation(trpc.secondFactor.confirm.mutationOptions());
  const renew = useMutation(trpc.secondFactor.renewRecoveryCodes.mutationOptions());
  const remove = useMutation(trpc.secondFactor.remove.mutationOptions());
  const { pending, failure, attempt } = useAttempt();
  const [secret, setSecret] = useState<{ secret: string; address: string } | null>(null);
  const [codes, setCodes] = useState<readonly string[] | null>(null);
  const [asking, setAsking] = useState<"renew" | "remove" | null>(null);

  /** Sessions are read anew as well: all others ended. */
  const refresh = async () => {
    await queries.invalidateQueries({ queryKey: trpc.secondFactor.pathKey() });
    await queries.invalidateQueries({ queryKey: trpc.session.pathKey() });
  };

  return (
    <section aria-labelledby="second-factor">
      <SectionHeading
        id="second-factor"
        explanation="Beside the password, signing in then also asks for a code that an authenticator on your telephone or computer shows for half a minute. Whoever learns your password alone gets no further."
      >
        Second factor
      </SectionHeading>
      {state.isError ? (
        <QueryError error={state.error} what="your second factor" onRetry={() => state.refetch()} />
      ) : state.data === undefined ? (
        <LoadingState label="Reading your second factor" />
      ) : codes !== null ? (
        <RecoveryCodes codes={codes} onKept={() => setCodes(null)} />
      ) : secret !== null ? (
        <SetUpSecondFactor
          secret={secret.secret}
          address={secret.address}
          onCode={async (code) => {
            const { recoveryCodes } = await confirm.mutateAsync({ code });
            setSecret(null);
            setCodes(recoveryCodes);
            await refresh();
          }}
          onCancel={() => setSecret(null)}
        />
      ) : state.data.inForceSince === null ? (
        <Stack gap="sm" align="flex-start">
          <Text>You have none: your password alone signs you in.</Text>
          <Button loading={pending} onClick={() => attempt(async () => setSecret(await begin.mutateAsync()))}>
            Set up a second factor
          </Button>
          {failure !== null && (
            <Text role="alert" c="var(--mantine-color-error)">
              {failure}
            </Text>
          )}
        </Stack>
      ) : (
        <Stack gap="sm">
          <Text>
            In force since {formatMoment(state.data.inForceSince)}. {codesLeft(state.data.recoveryCodesLeft)}
          </Text>
          <Group gap="sm">
            <Button onClick={() => setAsking("renew")}>Make new recovery codes</Button>
            <Button onClick={() => setAsking("remove")}>Take it off</Button>
          </Group>
        </Stack>
      )}
      <CodeDialog
        opened={asking === "renew"}
        onClose={() => setAsking(null)}
        title="Make new recovery codes?"
        confirmLabel="Make new codes"
        onCode={async (code) => {
          setCodes((await renew.mutateAsync({ code })).recoveryCodes);
          await refresh();
        }}
      >
        The old ones, used or not, work no more.
      </CodeDialog>
      <CodeDialog
        opened={asking === "remove"}
        onClose={() => setAsking(null)}
        title="Take the second factor off?"
        confirmLabel="Take it off"
        stops
        onCode={async (code) => {
          await remove.mutateAsync({ code });
          await refresh();
        }}
      >
        Your password alone signs you in from then on. Your other sessions end. In studies that ask their lead
        investigators for a second factor you can then only look.
      </CodeDialog>
    </section>
  );
}

function codesLeft(count: number): string {
  switch (count) {
    case 0:
      return "No recovery code is left: make new ones before you lose your authenticator.";
    case 1:
      return "One recovery code is left.";
    default:
      return `${count} recovery codes are left.`;
  }
}
