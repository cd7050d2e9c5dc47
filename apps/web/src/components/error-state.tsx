"use client";

import { Button } from "@mantine/core";
import type { ReactNode } from "react";
import { Disclosure } from "./disclosure";
import classes from "./state.module.css";

interface ErrorStateProps {
  readonly title?: string;
  /** What happened, in plain words. */
  readonly happened: ReactNode;
  /** What was not lost. */
  readonly kept: ReactNode;
  readonly onRetry?: () => void;
  readonly retryLabel?: string;
  readonly action?: ReactNode;
  /** For whoever is asked to help: a code, a request number. */
  readonly detail?: string;
}

export function ErrorState({
  title = "This did not work",
  happened,
  kept,
  onRetry,
  retryLabel = "Try again",
  action,
  detail,
}: ErrorStateProps) {
  return (
    <div className={classes.state} data-stop role="alert">
      <p className={classes.title}>{title}</p>
      <div className={classes.words}>
        <p>{happened}</p>
        <p>{kept}</p>
      </div>
      {(onRetry !== undefined || action !== undefined) && (
        <div className={classes.actions}>
          {onRetry !== undefined && <Button onClick={onRetry}>{retryLabel}</Button>}
          {action}
        </div>
      )}
      {detail !== undefined && (
        <Disclosure summary="Technical detail">
          <code className={classes.detail}>{detail}</code>
        </Disclosure>
      )}
    </div>
  );
}
