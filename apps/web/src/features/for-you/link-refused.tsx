import { Button } from "@mantine/core";
import { EmptyState } from "@/components/empty-state";
import { PageHeader } from "@/components/page-header";
import { failureOf } from "@/trpc/failure";

interface LinkRefusedProps {
  readonly error: unknown;
  readonly onRetry: () => void;
}

/** What a volunteer sees whose link opens nothing, or when the server did not answer. */
export function LinkRefused({ error, onRetry }: LinkRefusedProps) {
  const { code, message } = failureOf(error);
  const final = code === "not-found";
  return (
    <>
      <PageHeader title={final ? "This link cannot be used" : "This page could not be opened"} />
      <EmptyState
        title={final ? "Nothing was changed." : "Please try again."}
        {...(final ? {} : { action: <Button onClick={onRetry}>Try again</Button> })}
      >
        {message}
      </EmptyState>
    </>
  );
}
