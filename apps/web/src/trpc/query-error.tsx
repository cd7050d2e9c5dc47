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
  // Asking again does not bring it back.
  const gone = failure.code === "not-found";
  return (
    <ErrorState
      title={`Cannot show ${what}`}
      happened={failure.message}
      kept={
        gone
          ? "It may have been removed, or the address was not copied whole. Nothing was changed."
          : "Nothing was changed: this was only being read."
      }
      {...(gone ? {} : { onRetry })}
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
