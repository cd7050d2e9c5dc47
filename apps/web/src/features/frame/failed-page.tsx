"use client";

import { ErrorState } from "@/components/error-state";
import { TextLink } from "@/components/text-link";

export interface FailedPageProps {
  readonly error: Error & { readonly digest?: string };
  readonly retry: () => void;
}

/** What every error boundary of the app shows. */
export function FailedPage({ error, retry }: FailedPageProps) {
  return (
    <ErrorState
      title="This page could not be shown"
      happened="Something failed while the page was being made."
      kept="What was saved before is still saved. Text that you had typed here and not saved may be gone."
      onRetry={retry}
      action={<TextLink href="/studies">Go to the studies</TextLink>}
      {...(error.digest === undefined
        ? {}
        : { detail: `Number of the failure in the server's output: ${error.digest}` })}
    />
  );
}
