"use client";

import { Button, PasswordInput, Stack, Text } from "@mantine/core";
import { notifications } from "@mantine/notifications";
import { type FormEvent, useState } from "react";
import { changePassword } from "./sign-in-client";

export function ChangePasswordForm() {
  const [present, setPresent] = useState("");
  const [next, setNext] = useState("");
  const [failure, setFailure] = useState<string | null>(null);
  const [pending, setPending] = useState(false);

  const submit = async (event: FormEvent) => {
    event.preventDefault();
    setPending(true);
    const problem = await changePassword(present, next);
    setPending(false);
    setFailure(problem);
    if (problem !== null) return;
    setPresent("");
    setNext("");
    notifications.show({ title: "Password changed", message: "Every other session was signed out." });
  };

  const toggle = { "aria-label": "Show or hide the password" };
  return (
    <form onSubmit={submit}>
      <Stack gap="md">
        <PasswordInput
          label="Present password"
          autoComplete="current-password"
          value={present}
          onChange={(event) => setPresent(event.currentTarget.value)}
          visibilityToggleButtonProps={toggle}
          required
        />
        <PasswordInput
          label="New password"
          description="At least 12 characters of any kind, up to 128. A few words in a row are easy to remember; common passwords, and ones made of your name or this program, are refused."
          autoComplete="new-password"
          value={next}
          onChange={(event) => setNext(event.currentTarget.value)}
          visibilityToggleButtonProps={toggle}
          required
        />
        {failure !== null && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure}
          </Text>
        )}
        <div>
          <Button type="submit" variant="filled" loading={pending}>
            Change password
          </Button>
        </div>
      </Stack>
    </form>
  );
}
