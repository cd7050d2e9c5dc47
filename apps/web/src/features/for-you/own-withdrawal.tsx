"use client";

import { Button, Stack, Text, TextInput } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import {
  allPermissions,
  type Choice,
  missingChoice,
  WithdrawalChoice,
} from "@/features/consent/withdrawal-choice";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";

type Own = Outputs["forYou"]["own"];
export type Erased = Outputs["forYou"]["erase"];

interface OwnWithdrawalProps {
  readonly token: string;
  readonly own: Own;
  readonly onWithdrawn: () => Promise<unknown>;
  readonly onErased: (erased: Erased) => void;
}

const nothingChosen: Choice = { what: null, effect: null };

/** The volunteer takes a permission back, or all, and chooses what happens to what is stored; or has everything erased. */
export function OwnWithdrawal({ token, own, onWithdrawn, onErased }: OwnWithdrawalProps) {
  const trpc = useTRPC();
  const [choice, setChoice] = useState(nothingChosen);
  const [code, setCode] = useState("");
  const [tried, setTried] = useState(false);
  const withdraw = useMutation(trpc.forYou.withdraw.mutationOptions({ gcTime: 0 }));
  const erase = useMutation(trpc.forYou.erase.mutationOptions({ gcTime: 0 }));
  const { what, effect } = choice;
  const erasing = effect === "erase";
  const used = erasing ? erase : withdraw;
  const failure = used.error === null ? null : failureOf(used.error);
  const complaints = missingChoice(choice);
  const codeError =
    failure?.fields.code ?? (tried && erasing && code.trim() === "" ? "Type your code to confirm." : null);

  const submit = (event: FormEvent) => {
    event.preventDefault();
    setTried(true);
    if (what === null || effect === null) return;
    if (effect === "erase") {
      if (code.trim() !== "") erase.mutate({ token, code: code.trim() }, { onSuccess: onErased });
      return;
    }
    withdraw.mutate(
      { token, permission: what === allPermissions ? null : what, effect },
      {
        onSuccess: async () => {
          await onWithdrawn();
          setChoice(nothingChosen);
          setTried(false);
        },
      },
    );
  };
  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md">
        <WithdrawalChoice
          permissions={own.permissions.filter((item) => item.allowed || item.storedUse)}
          choice={choice}
          onChoice={setChoice}
          complaints={tried ? complaints : { what: null, effect: null }}
          whose="your"
          mayErase
        />
        {own.releases.length > 0 && (
          <Text>
            Your numbers are, without your name, in what was given to others already (release{" "}
            {own.releases.join(", ")}). That cannot be called back.
          </Text>
        )}
        {erasing && (
          <TextInput
            label={`Type ${own.code} to confirm`}
            description="It is done at once and for good. This page and its link then open nothing any more."
            size="md"
            w={280}
            maw="100%"
            autoComplete="off"
            value={code}
            onChange={(event) => setCode(event.currentTarget.value)}
            error={codeError}
          />
        )}
        {failure !== null && codeError === null && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message} What you chose is still here.
          </Text>
        )}
        <div role="status">
          {withdraw.isSuccess && what === null && (
            <Text fw={500}>It is taken back, and holds from now on. The list above says what holds.</Text>
          )}
        </div>
        <div>
          <Button type="submit" size="md" variant="filled" color="red" loading={used.isPending}>
            {erasing ? "Erase everything for good" : "Take back"}
          </Button>
        </div>
      </Stack>
    </form>
  );
}
