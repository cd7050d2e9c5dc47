"use client";

import { PasswordInput, TextInput } from "@mantine/core";

export interface NewAccount {
  readonly name: string;
  readonly email: string;
  readonly password: string;
}

interface NewAccountFieldsProps {
  readonly value: NewAccount;
  readonly onChange: (value: NewAccount) => void;
  /** Message per field. */
  readonly errors: Readonly<Record<string, string>>;
  /** An invitation fixes the address. */
  readonly emailIsGiven?: boolean;
}

export function NewAccountFields({ value, onChange, errors, emailIsGiven = false }: NewAccountFieldsProps) {
  return (
    <>
      <TextInput
        label="Your name"
        description="Stands in the audit trail beside what you do."
        name="name"
        autoComplete="name"
        value={value.name}
        onChange={(event) => onChange({ ...value, name: event.currentTarget.value })}
        error={errors.name}
        required
      />
      <TextInput
        label="E-mail address"
        type="email"
        name="email"
        autoComplete="username"
        value={value.email}
        onChange={(event) => onChange({ ...value, email: event.currentTarget.value })}
        error={errors.email}
        readOnly={emailIsGiven}
        required
      />
      <PasswordInput
        label="Password"
        description="At least 12 characters of any kind, up to 128. A few words in a row are easy to remember; common passwords, and ones made of your name or this program, are refused."
        name="password"
        autoComplete="new-password"
        value={value.password}
        onChange={(event) => onChange({ ...value, password: event.currentTarget.value })}
        error={errors.password}
        visibilityToggleButtonProps={{ "aria-label": "Show or hide the password" }}
        required
      />
    </>
  );
}
