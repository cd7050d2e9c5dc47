"use client";

import { Button, Text } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { useState } from "react";
import { formatMoment } from "@/components/format-moment";
import { ReasonDialog } from "@/components/reason-dialog";
import { type BadgeShape, StateBadge } from "@/components/state-badge";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { idOfAdjustment } from "./adjustment-list";
import { idOfFinding } from "./chosen-finding";
import classes from "./quality.module.css";
import {
  confidenceWords,
  intervalWords,
  type NumberedFinding,
  type Standing,
  sizeWords,
} from "./quality-words";

const badges: Readonly<Record<Standing, { readonly shape: BadgeShape; readonly name: string }>> = {
  open: { shape: "open", name: "open" },
  accepted: { shape: "tick", name: "accepted" },
  dismissed: { shape: "struck", name: "dismissed" },
  adjusted: { shape: "full", name: "adjusted" },
};

/** Names of series until they fill a line; the rest as a count. */
const namedSeries = 3;

interface FindingItemProps {
  readonly numbered: NumberedFinding;
  readonly chosen: boolean;
  readonly onChoose: (id: string) => void;
  readonly onAdjust: (finding: NumberedFinding) => void;
  readonly canChange: boolean;
}

export function FindingItem({ numbered, chosen, onChoose, onAdjust, canChange }: FindingItemProps) {
  const { id, number, file, finding } = numbered;
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const [dismissing, setDismissing] = useState(false);
  const decide = useMutation(trpc.quality.decide.mutationOptions());
  const clear = useMutation(trpc.quality.clearDecision.mutationOptions());
  const { adjustedBy, decision, standing } = finding;
  const badge = badges[standing];
  const size = sizeWords(finding);
  const failure = decide.error ?? clear.error;
  const of = { studyId, sourceFileId: file.sourceFileId, findingKey: finding.key };
  const takeBack = () => clear.mutate(of, { onSuccess: refresh });
  const which = <span className={classes.spoken}>, finding {number}</span>;
  const pending = decide.isPending || clear.isPending;
  return (
    <li id={idOfFinding(number)} tabIndex={-1} className={classes.finding} data-chosen={chosen || undefined}>
      <div className={classes.number} data-settled={standing !== "open" || undefined} aria-hidden>
        {number}
      </div>
      <div className={classes.words}>
        <h3 className={classes.title}>
          <span className={classes.spoken}>Finding {number}: </span>
          {finding.title}
        </h3>
        <div className={classes.facts}>
          <StateBadge shape={badge.shape}>{badge.name}</StateBadge>
          <span>{intervalWords(finding.fromS, finding.toS)}</span>
          {size !== null && <span>{size}</span>}
          <span>{confidenceWords[finding.confidence]}</span>
          <span>{concerned(numbered)}</span>
        </div>
        <p>{finding.meaning}</p>
        <p>{finding.whatCanBeDone}</p>
        {decision !== null && (
          <p className={classes.quiet}>
            {decision.decision === "dismissed" ? "Dismissed" : "Accepted"} by {decision.by},{" "}
            {formatMoment(decision.at)}
            {decision.note === "" ? "." : `: ${decision.note}`}
          </p>
        )}
        {failure !== null && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failureOf(failure).message} Nothing was changed.
          </Text>
        )}
        <div className={classes.buttons} data-screen-only>
          <Button size="compact-sm" aria-pressed={chosen} onClick={() => onChoose(id)}>
            Show in the figure{which}
          </Button>
          {canChange && (
            <>
              {(finding.proposal !== null || adjustedBy !== null) && (
                // One button for both, so that the keyboard keeps its place when the dialog has closed.
                <Button
                  size="compact-sm"
                  variant={standing === "open" ? "filled" : "default"}
                  onClick={() =>
                    adjustedBy === null
                      ? onAdjust(numbered)
                      : document.getElementById(idOfAdjustment(adjustedBy))?.focus()
                  }
                >
                  {adjustedBy === null ? "Adjust …" : "To its adjustment"}
                  {which}
                </Button>
              )}
              {/* Pressed once more, a decision is taken back: the button stays where the keyboard is. */}
              <Button
                size="compact-sm"
                aria-pressed={decision?.decision === "accepted"}
                loading={pending && !dismissing}
                onClick={() =>
                  decision?.decision === "accepted"
                    ? takeBack()
                    : decide.mutate({ ...of, decision: "accepted", note: "" }, { onSuccess: refresh })
                }
              >
                {decision?.decision === "accepted" ? "Accepted: take back" : "Accept as it is"}
                {which}
              </Button>
              <Button
                size="compact-sm"
                aria-pressed={decision?.decision === "dismissed"}
                onClick={() => (decision?.decision === "dismissed" ? takeBack() : setDismissing(true))}
              >
                {decision?.decision === "dismissed" ? "Dismissed: take back" : "Dismiss …"}
                {which}
              </Button>
            </>
          )}
        </div>
      </div>
      <ReasonDialog
        opened={dismissing}
        onClose={() => setDismissing(false)}
        title={`Dismiss finding ${number}`}
        explanation={
          <p>
            {finding.title}, {intervalWords(finding.fromS, finding.toS)}. It stays in the list, marked as no
            fault of the recording. No number is changed.
          </p>
        }
        reasonLabel="Why it is none"
        confirmLabel="Dismiss"
        maxLength={500}
        onConfirm={async (note) => {
          await decide.mutateAsync({ ...of, decision: "dismissed", note });
          await refresh();
        }}
      />
    </li>
  );
}

function concerned({ file, finding }: NumberedFinding): string {
  const labels = finding.series.map((series) => series.label);
  if (labels.length === 0) return `the whole of ${file.fileName}`;
  const named = labels.slice(0, namedSeries).join("; ");
  const more = labels.length - namedSeries;
  return more > 0 ? `${named} and ${more} more` : named;
}
