"use client";

import { Button, Group, Modal, Stack, Text } from "@mantine/core";
import type { ReactNode } from "react";
import { useAttempt } from "./use-attempt";

interface ConfirmDialogProps {
  readonly opened: boolean;
  readonly onClose: () => void;
  readonly title: string;
  /** What will follow, and whether it can be undone. */
  readonly children: ReactNode;
  readonly confirmLabel: string;
  readonly cancelLabel?: string;
  /** Fails by rejecting; the dialog then stays open and says why. */
  readonly onConfirm: () => void | Promise<void>;
  /** The action takes something away from somebody. */
  readonly stops?: boolean;
}

export function ConfirmDialog({
  opened,
  onClose,
  title,
  children,
  confirmLabel,
  cancelLabel = "Cancel",
  onConfirm,
  stops = false,
}: ConfirmDialogProps) {
  const { pending, failure, attempt, forget } = useAttempt();
  const close = () => {
    if (pending) return;
    forget();
    onClose();
  };
  return (
    <Modal opened={opened} onClose={close} title={title} size="md">
      <Stack gap="md">
        <div>{children}</div>
        {failure !== null && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure}
          </Text>
        )}
        <Group gap="sm" justify="flex-end">
          <Button onClick={close} disabled={pending} data-autofocus>
            {cancelLabel}
          </Button>
          <Button
            variant="filled"
            loading={pending}
            onClick={async () => {
              if (await attempt(onConfirm)) onClose();
            }}
            {...(stops ? { color: "red" } : {})}
          >
            {confirmLabel}
          </Button>
        </Group>
      </Stack>
    </Modal>
  );
}
