"use client";

import { Button, Radio, Text } from "@mantine/core";
import { useMutation, useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Inputs, Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import { EstimateOffset } from "./estimate-offset";
import { ByAbsoluteTime, BySameEvent, ByStatedOffset } from "./offset-forms";
import classes from "./source-file.module.css";
import type { SourceFileOfTrial } from "./source-file-row";

export type Clock = Outputs["sourceFile"]["clock"];
export type OffsetMethod = Inputs["sourceFile"]["setOffset"]["method"];

const methods = [
  { value: "absolute time", label: "By absolute time: both files say when they began" },
  { value: "same event", label: "By an event that both saw" },
  { value: "estimate", label: "By an estimate from what both saw" },
  { value: "stated", label: "By an offset that is known otherwise" },
] as const;
type Method = (typeof methods)[number]["value"];

/** What all ways of placing a file are given. */
export interface PlacingProps {
  readonly clock: Clock;
  readonly pending: boolean;
  /** Message per field that the server refused. */
  readonly errors: Readonly<Record<string, string>>;
  readonly onPlace: (method: OffsetMethod) => void;
}

/** Where a file lies on the trial's clock, how that was found, and four ways to place it anew. */
export function FileClock({ file }: { readonly file: SourceFileOfTrial }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const clock = useQuery(trpc.sourceFile.clock.queryOptions({ studyId, sourceFileId: file.sourceFileId }));
  if (clock.isPending) return <LoadingState label="Looking at the clocks" lines={3} />;
  if (clock.isError) {
    return <QueryError error={clock.error} what="where the file lies" onRetry={() => clock.refetch()} />;
  }
  return <PlaceFile key={clock.data.sourceFileId} clock={clock.data} />;
}

function PlaceFile({ clock }: { readonly clock: Clock }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const { sourceFileId, revision } = clock;
  const byTime = clock.others.some((other) => other.byAbsoluteTime.kind === "known");
  const [method, setMethod] = useState<Method>(
    byTime ? "absolute time" : clock.others.length > 0 ? "same event" : "stated",
  );
  const set = useMutation(trpc.sourceFile.setOffset.mutationOptions());
  const takeBack = useMutation(trpc.sourceFile.takeBackOffset.mutationOptions());
  const error = set.error ?? takeBack.error;
  const failure = error === null ? null : failureOf(error);
  const placing: PlacingProps = {
    clock,
    pending: set.isPending,
    errors: failure?.fields ?? {},
    onPlace: (chosen) => {
      takeBack.reset();
      set.mutate({ studyId, sourceFileId, revision, method: chosen }, { onSuccess: refresh });
    },
  };
  return (
    <div className={`${classes.editor} ${classes.words}`}>
      <p role="status">
        The file's own zero lies at <strong className="numbers">{clock.offsetS} s</strong> on the trial's
        clock.{" "}
        {clock.inForce === null
          ? "Nobody has moved it."
          : `${clock.inForce.how} Set by ${clock.inForce.setBy} on ${formatMoment(clock.inForce.setAt)}.`}
      </p>
      {clock.before !== null && (
        <div className={classes.tools}>
          <Button
            size="compact-sm"
            loading={takeBack.isPending}
            onClick={() => {
              set.reset();
              takeBack.mutate({ studyId, sourceFileId, revision }, { onSuccess: refresh });
            }}
          >
            Take this back: to {clock.before.offsetS} s
          </Button>
          <span className={classes.quiet}>{clock.before.how ?? "Where it lay at first."}</span>
        </div>
      )}
      <Radio.Group
        label="Place the file"
        value={method}
        onChange={(value) => {
          set.reset();
          setMethod(methods.find((known) => known.value === value)?.value ?? method);
        }}
      >
        <div className={classes.methods}>
          {methods.map(({ value, label }) => (
            <Radio
              key={value}
              value={value}
              label={label}
              disabled={clock.others.length === 0 && (value === "absolute time" || value === "estimate")}
            />
          ))}
        </div>
      </Radio.Group>
      {clock.others.length === 0 && (
        <p className={classes.quiet}>No other file of this trial has been read to compare it with.</p>
      )}
      {formOf(method, placing)}
      {failure !== null && (
        <Text role="alert" c="var(--mantine-color-error)">
          {failure.message} What you entered is still here.
        </Text>
      )}
    </div>
  );
}

function formOf(method: Method, placing: PlacingProps) {
  switch (method) {
    case "absolute time":
      return <ByAbsoluteTime {...placing} />;
    case "same event":
      return <BySameEvent {...placing} />;
    case "estimate":
      return <EstimateOffset {...placing} />;
    case "stated":
      return <ByStatedOffset {...placing} />;
  }
}
