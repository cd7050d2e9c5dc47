"use client";

import { Button, Group, Modal, Stack, Text, Textarea } from "@mantine/core";
import { type FormEvent, type ReactNode, useState } from "react";
import { useAttempt } from "./use-attempt";

interface ReasonDialogProps {
  readonly opened: boolean;
  readonly onClose: () => void;
  /** A question or an order: "Set this trial aside". */
  readonly title: string;
  /** What will follow from it. */
  readonly explanation: ReactNode;
  readonly reasonLabel?: string;
  readonly confirmLabel: string;
  /** Fails by rejecting; the dialog then stays open with the reason still in it. */
  readonly onConfirm: (reason: string) => void | Promise<void>;
  readonly minLength?: number;
  readonly maxLength?: number;
  /** The action takes something away from somebody. */
  readonly stops?: boolean;
  readonly children?: ReactNode;
}

/** Asks for the reason of an action that the audit trail will show together with it. */
export function ReasonDialog({
  opened,
  onClose,
  title,
  explanation,
  reasonLabel = "Reason",
  confirmLabel,
  onConfirm,
  minLength = 3,
  maxLength = 2000,
  stops = false,
  children,
}: ReasonDialogProps) {
  const [reason, setReason] = useState("");
  const [complaint, setComplaint] = useState<string | null>(null);
  const { pending, failure, attempt, forget } = useAttempt();

  const close = () => {
    if (pending) return;
    forget();
    setComplaint(null);
    onClose();
  };

  const submit = async (event: FormEvent) => {
    event.preventDefault();
    const text = reason.trim();
    if (text.length < minLength) {
      setComplaint("Please write the reason in a few words: it is kept in the audit trail.");
      return;
    }
    setComplaint(null);
    if (await attempt(() => onConfirm(text))) {
      setReason("");
      onClose();
    }
  };

  return (
    <Modal opened={opened} onClose={close} title={title} size="md">
      <form onSubmit={submit}>
        <Stack gap="md">
          <div>{explanation}</div>
          {children}
          <Textarea
            label={reasonLabel}
            value={reason}
            onChange={(event) => setReason(event.currentTarget.value)}
            error={complaint}
            maxLength={maxLength}
            autosize
            minRows={2}
            maxRows={8}
            required
            {...(children === undefined ? { "data-autofocus": true } : {})}
          />
          {failure !== null && (
            <Text role="alert" c="var(--mantine-color-error)">
              {failure} Your reason is still here.
            </Text>
          )}
          <Group gap="sm" justify="flex-end">
            <Button onClick={close} disabled={pending}>
              Cancel
            </Button>
            <Button type="submit" variant="filled" loading={pending} {...(stops ? { color: "red" } : {})}>
              {confirmLabel}
            </Button>
          </Group>
        </Stack>
      </form>
    </Modal>
  );
}
