"use client";

import { Button, Group, Modal, Stack, Text, Textarea, TextInput } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { fromLocalMoment, toLocalMoment } from "@/components/local-moment";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { allPermissions, type Choice, missingChoice, WithdrawalChoice } from "./withdrawal-choice";
import type { PermissionState } from "./words";

interface WithdrawDialogProps {
  readonly opened: boolean;
  readonly onClose: () => void;
  readonly volunteerId: string;
  readonly code: string;
  readonly permissions: readonly PermissionState[];
}

export function WithdrawDialog({ opened, onClose, ...rest }: WithdrawDialogProps) {
  return (
    <Modal opened={opened} onClose={onClose} title={`Withdrawal by ${rest.code}`} size="lg">
      <WithdrawForm {...rest} onClose={onClose} />
    </Modal>
  );
}

const nothingChosen: Choice = { what: null, effect: null };

function WithdrawForm({ onClose, volunteerId, code, permissions }: Omit<WithdrawDialogProps, "opened">) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const [choice, setChoice] = useState(nothingChosen);
  const [effectiveAt, setEffectiveAt] = useState(() => toLocalMoment(new Date()));
  const [reason, setReason] = useState("");
  const [typed, setTyped] = useState("");
  const [tried, setTried] = useState(false);
  const withdraw = useMutation(trpc.consent.withdraw.mutationOptions());
  const erase = useMutation(trpc.erasure.erase.mutationOptions());
  const { what, effect } = choice;
  const erasing = effect === "erase";
  const used = erasing ? erase : withdraw;
  const failure = used.error === null ? null : failureOf(used.error);
  const errors = failure?.fields ?? {};
  const complaints = missingChoice(choice);
  const done = async () => {
    await queries.invalidateQueries();
    onClose();
  };

  const submit = (event: FormEvent) => {
    event.preventDefault();
    setTried(true);
    if (what === null || effect === null) return;
    if (effect === "erase") {
      erase.mutate({ studyId, volunteerId, code: typed.trim(), reason }, { onSuccess: done });
      return;
    }
    withdraw.mutate(
      {
        studyId,
        volunteerId,
        permission: what === allPermissions ? null : what,
        effect,
        effectiveAt: fromLocalMoment(effectiveAt),
        reason,
      },
      { onSuccess: done },
    );
  };

  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md">
        <p>
          A volunteer may take back any permission at any time, and says what happens to what is stored. What
          was done before stays lawful, and a release that was handed out cannot be called back.
        </p>
        <WithdrawalChoice
          permissions={permissions.filter((item) => item.allowed || item.storedUse)}
          choice={choice}
          onChoice={setChoice}
          complaints={tried ? complaints : { what: null, effect: null }}
          whose="their"
          mayErase={may("erasure.erase")}
        />
        {what === allPermissions && !may("erasure.erase") && (
          <Text size="sm" c="dimmed">
            A volunteer may also have everything erased; a lead investigator of this study does that.
          </Text>
        )}
        {erasing ? (
          <TextInput
            label={`Type ${code} to confirm`}
            w={240}
            maw="100%"
            value={typed}
            onChange={(event) => setTyped(event.currentTarget.value)}
            autoComplete="off"
            error={errors.code}
          />
        ) : (
          <TextInput
            type="datetime-local"
            label="From this moment on"
            w={240}
            maw="100%"
            value={effectiveAt}
            max={toLocalMoment(new Date())}
            onChange={(event) => setEffectiveAt(event.currentTarget.value)}
            error={errors.effectiveAt}
          />
        )}
        <Textarea
          label={erasing ? "Why it is erased" : "Reason, if one was given"}
          description={`${erasing ? "For instance, that the volunteer asked for it." : "Nobody has to give one."} Do not write a name here: it is kept where others can read it.`}
          autosize
          minRows={2}
          maxRows={6}
          value={reason}
          onChange={(event) => setReason(event.currentTarget.value)}
          error={errors.reason}
        />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message} What you entered is still here.
          </Text>
        )}
        <Group gap="sm" justify="flex-end">
          <Button onClick={onClose} disabled={used.isPending}>
            Cancel
          </Button>
          <Button type="submit" variant="filled" color="red" loading={used.isPending}>
            {erasing ? "Erase for good" : "Record the withdrawal"}
          </Button>
        </Group>
      </Stack>
    </form>
  );
}
