"use client";

import { Button, Group, Modal, PasswordInput, Stack, Text } from "@mantine/core";
import { type FormEvent, useCallback, useEffect, useRef, useState } from "react";
import { useAttempt } from "@/components/use-attempt";
import { useTRPCClient } from "@/trpc/client";
import { answerPasswordAgain } from "@/trpc/password-again";

/**
 * Asks for the password when the server wants it once more, whatever was being done; the link of the API (`trpc/password-again`)
 * waits for it and then repeats what was refused. One for all screens.
 */
export function PasswordAgain() {
  const api = useTRPCClient();
  const [opened, setOpened] = useState(false);
  const [password, setPassword] = useState("");
  const { pending, failure, attempt, forget } = useAttempt();
  const settle = useRef<((given: boolean) => void) | null>(null);

  const ask = useCallback(
    () =>
      new Promise<boolean>((resolve) => {
        settle.current = resolve;
        setOpened(true);
      }),
    [],
  );
  useEffect(() => answerPasswordAgain(ask), [ask]);

  const finish = (given: boolean) => {
    setOpened(false);
    setPassword("");
    forget();
    settle.current?.(given);
    settle.current = null;
  };
  const submit = async (event: FormEvent) => {
    event.preventDefault();
    if (await attempt(async () => void (await api.session.prove.mutate({ password })))) finish(true);
  };

  return (
    <Modal
      opened={opened}
      onClose={() => !pending && finish(false)}
      title="Your password again"
      size="sm"
      zIndex={400}
    >
      <form onSubmit={submit}>
        <Stack gap="md">
          <Text>
            This action asks for it when it was last given more than ten minutes ago. What you were doing goes
            on afterwards.
          </Text>
          <PasswordInput
            label="Your password"
            name="password"
            autoComplete="current-password"
            value={password}
            onChange={(event) => setPassword(event.currentTarget.value)}
            visibilityToggleButtonProps={{ "aria-label": "Show or hide the password" }}
            data-autofocus
            required
          />
          {failure !== null && (
            <Text role="alert" c="var(--mantine-color-error)">
              {failure}
            </Text>
          )}
          <Group gap="sm" justify="flex-end">
            <Button onClick={() => finish(false)} disabled={pending}>
              Cancel
            </Button>
            <Button type="submit" variant="filled" loading={pending}>
              Go on
            </Button>
          </Group>
        </Stack>
      </form>
    </Modal>
  );
}
