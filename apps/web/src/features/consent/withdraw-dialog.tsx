"use client";

import { Button, Group, Modal, Radio, Stack, Text, Textarea, TextInput } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { fromLocalMoment, toLocalMoment } from "@/components/local-moment";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { PermissionState } from "./words";

interface WithdrawDialogProps {
  readonly opened: boolean;
  readonly onClose: () => void;
  readonly volunteerId: string;
  readonly code: string;
  readonly permissions: readonly PermissionState[];
}

const all = "all";

export function WithdrawDialog({ opened, onClose, ...rest }: WithdrawDialogProps) {
  return (
    <Modal opened={opened} onClose={onClose} title={`Withdrawal by ${rest.code}`} size="lg">
      <WithdrawForm {...rest} onClose={onClose} />
    </Modal>
  );
}

function WithdrawForm({ onClose, volunteerId, permissions }: Omit<WithdrawDialogProps, "opened">) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const [what, setWhat] = useState<string | null>(null);
  const [effectiveAt, setEffectiveAt] = useState(() => toLocalMoment(new Date()));
  const [reason, setReason] = useState("");
  const [complaint, setComplaint] = useState<string | null>(null);
  const withdraw = useMutation(trpc.consent.withdraw.mutationOptions());
  const failure = withdraw.error === null ? null : failureOf(withdraw.error);
  const errors = failure?.fields ?? {};
  const standing = permissions.filter((item) => item.allowed);

  const submit = (event: FormEvent) => {
    event.preventDefault();
    setComplaint(what === null ? "Choose what is taken back." : null);
    if (what === null) return;
    withdraw.mutate(
      {
        studyId,
        volunteerId,
        permission: what === all ? null : what,
        effectiveAt: fromLocalMoment(effectiveAt),
        reason,
      },
      {
        onSuccess: async () => {
          await queries.invalidateQueries();
          onClose();
        },
      },
    );
  };

  return (
    <form onSubmit={submit} noValidate>
      <Stack gap="md">
        <div>
          <p>
            From the moment given on, this volunteer's data are used for nothing that the permission covered:
            no trial is planned, no file accepted, and they appear in no figure, comparison or release made
            afterwards.
          </p>
          <p>
            What was done before stays as it is, and a release that was handed out cannot be called back.
            Nothing is erased by this; whether recorded data are destroyed is decided as the consent form
            says.
          </p>
        </div>
        <Radio.Group label="What is taken back" value={what} onChange={setWhat} error={complaint}>
          <Stack gap="xs" mt="xs">
            <Radio value={all} label="All permissions" />
            {standing.map((item) => (
              <Radio key={item.key} value={item.key} label={item.label} />
            ))}
          </Stack>
        </Radio.Group>
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
        <Textarea
          label="Reason, if one was given"
          description="Nobody has to give one. Do not write a name here: it is kept where others can read it."
          autosize
          minRows={2}
          maxRows={6}
          value={reason}
          onChange={(event) => setReason(event.currentTarget.value)}
          error={errors.reason}
        />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message}
          </Text>
        )}
        <Group gap="sm" justify="flex-end">
          <Button onClick={onClose} disabled={withdraw.isPending}>
            Cancel
          </Button>
          <Button type="submit" variant="filled" color="red" loading={withdraw.isPending}>
            Record the withdrawal
          </Button>
        </Group>
      </Stack>
    </form>
  );
}
