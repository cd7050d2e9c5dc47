"use client";

import { Button, Group, Modal, Stack, TextInput } from "@mantine/core";
import { type FormEvent, type ReactNode, useState } from "react";
import { useAttempt } from "@/components/use-attempt";

interface CodeFormProps {
  readonly label: string;
  readonly description: string;
  readonly confirmLabel: string;
  /** Fails by rejecting; what was typed stays, and the reason stands below it. */
  readonly onCode: (code: string) => Promise<void>;
  readonly onCancel: () => void;
  readonly stops?: boolean;
}

/** Asks for one code. */
export function CodeForm({
  label,
  description,
  confirmLabel,
  onCode,
  onCancel,
  stops = false,
}: CodeFormProps) {
  const [code, setCode] = useState("");
  const { pending, failure, attempt } = useAttempt();
  const submit = async (event: FormEvent) => {
    event.preventDefault();
    await attempt(() => onCode(code));
  };
  return (
    <form onSubmit={submit}>
      <Stack gap="md">
        <TextInput
          label={label}
          description={description}
          name="code"
          autoComplete="one-time-code"
          value={code}
          onChange={(event) => setCode(event.currentTarget.value)}
          error={failure}
          data-autofocus
          required
        />
        <Group gap="sm">
          <Button type="submit" variant="filled" loading={pending} {...(stops ? { color: "red" } : {})}>
            {confirmLabel}
          </Button>
          <Button onClick={onCancel} disabled={pending}>
            Cancel
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

interface CodeDialogProps extends Pick<CodeFormProps, "confirmLabel" | "onCode" | "stops"> {
  readonly opened: boolean;
  readonly onClose: () => void;
  readonly title: string;
  /** What will follow. */
  readonly children: ReactNode;
}

/** For what is done only by somebody who has the second factor at hand. */
export function CodeDialog({ opened, onClose, title, children, onCode, ...form }: CodeDialogProps) {
  return (
    <Modal opened={opened} onClose={onClose} title={title} size="md">
      <Stack gap="md">
        <div>{children}</div>
        <CodeForm
          {...form}
          label="Code"
          description="The one that your authenticator shows now, or one of your recovery codes."
          onCancel={onClose}
          onCode={async (code) => {
            await onCode(code);
            onClose();
          }}
        />
      </Stack>
    </Modal>
  );
}
