"use client";

import { Anchor } from "@mantine/core";
import { ErrorState } from "../components/error-state";
import { failureOf } from "./failure";

interface QueryErrorProps {
  readonly error: unknown;
  /** What could not be shown: "the volunteers". */
  readonly what: string;
  readonly onRetry: () => void;
}

/** The error state of something that was only being read. */
export function QueryError({ error, what, onRetry }: QueryErrorProps) {
  const failure = failureOf(error);
  const signIn = failure.code === "sign-in-needed";
  return (
    <ErrorState
      title={`Cannot show ${what}`}
      happened={failure.message}
      kept="Nothing was changed: this was only being read."
      onRetry={onRetry}
      {...(signIn
        ? {
            action: (
              <Anchor href="/sign-in" target="_blank" rel="noopener">
                Sign in in another tab
              </Anchor>
            ),
          }
        : {})}
    />
  );
}
