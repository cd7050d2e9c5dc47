"use client";

import { TextInput } from "@mantine/core";
import { useDebouncedCallback } from "@mantine/hooks";
import { useState } from "react";

interface SearchFieldProps {
  readonly label: string;
  readonly value: string;
  /** Called when typing has paused. */
  readonly onChange: (value: string) => void;
  readonly placeholder?: string;
  readonly width?: number;
}

/** A search text that waits for a pause in typing before it asks the server. */
export function SearchField({ label, value, onChange, placeholder, width = 240 }: SearchFieldProps) {
  const [typed, setTyped] = useState(value);
  const [sent, setSent] = useState(value);
  const [seen, setSeen] = useState(value);
  // The value changed, and not by what was typed here (filters cleared, back button): show that.
  if (value !== seen) {
    setSeen(value);
    if (value !== sent) {
      setSent(value);
      setTyped(value);
    }
  }
  const send = useDebouncedCallback((text: string) => {
    setSent(text);
    onChange(text);
  }, 250);
  return (
    <TextInput
      type="search"
      label={label}
      value={typed}
      w={width}
      maw="100%"
      onChange={(event) => {
        setTyped(event.currentTarget.value);
        send(event.currentTarget.value.trim());
      }}
      {...(placeholder === undefined ? {} : { placeholder })}
    />
  );
}
