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
  /** Null until the account asks for one. */
  const [code, setCode] = useState<string | null>(null);

  const submit = async (event: FormEvent) => {
    event.preventDefault();
    setPending(true);
    const outcome = await signIn(email, password, code ?? undefined);
    setFailure(typeof outcome === "object" ? outcome.reason : null);
    if (outcome === "signed in") {
      window.location.assign(then);
      return;
    }
    setPending(false);
    if (outcome === "code needed") setCode("");
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
        {code !== null && (
          <TextInput
            label="Code"
            description="The password is right. This account also asks for the code that your authenticator shows now, or for one of your recovery codes."
            name="code"
            autoComplete="one-time-code"
            value={code}
            onChange={(event) => setCode(event.currentTarget.value)}
            // The field appears in answer to the button, and is what comes next.
            autoFocus
            required
          />
        )}
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
