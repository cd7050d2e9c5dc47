"use client";

import { Button, PasswordInput, Stack, Text, TextInput } from "@mantine/core";
import { type FormEvent, useState } from "react";
import { signIn } from "./sign-in-client";

interface SignInFormProps {
  /** A path of this site. */
  readonly then: string;
  readonly email?: string;
}

export function SignInForm({ then, email: known = "" }: SignInFormProps) {
  const [email, setEmail] = useState(known);
  const [password, setPassword] = useState("");
  const [failure, setFailure] = useState<string | null>(null);
  const [pending, setPending] = useState(false);

  const submit = async (event: FormEvent) => {
    event.preventDefault();
    setPending(true);
    const problem = await signIn(email, password);
    setFailure(problem);
    if (problem === null) window.location.assign(then);
    else setPending(false);
  };

  return (
    <form onSubmit={submit}>
      <Stack gap="md">
        <TextInput
          label="E-mail address"
          type="email"
          name="email"
          autoComplete="username"
          value={email}
          onChange={(event) => setEmail(event.currentTarget.value)}
          required
        />
        <PasswordInput
          label="Password"
          name="password"
          autoComplete="current-password"
          value={password}
          onChange={(event) => setPassword(event.currentTarget.value)}
          visibilityToggleButtonProps={{ "aria-label": "Show or hide the password" }}
          required
        />
        {failure !== null && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure}
          </Text>
        )}
        <div>
          <Button type="submit" variant="filled" loading={pending}>
            Sign in
          </Button>
        </div>
      </Stack>
    </form>
  );
}
