"use client";

import { ActionIcon, Button, Text } from "@mantine/core";
import { IconArrowDown, IconArrowUp } from "@tabler/icons-react";
import { useMutation } from "@tanstack/react-query";
import { useEffect, useRef, useState } from "react";
import { formatMoment } from "@/components/format-moment";
import { formatNumber } from "@/components/quantity";
import { StateBadge } from "@/components/state-badge";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import type { Trial } from "@/features/trial/trial-words";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import classes from "./quality.module.css";
import type { Adjustment, NumberedFinding, QualityFile } from "./quality-words";

/** The element of an adjustment, which takes the focus when somebody goes there from its finding. */
export const idOfAdjustment = (adjustmentId: string) => `adjustment-${adjustmentId}`;

interface AdjustmentListProps {
  readonly trial: Trial;
  readonly file: QualityFile;
  readonly findings: readonly NumberedFinding[];
  readonly canChange: boolean;
}

/** The adjustments of one file in the order in which they are applied, each with its reason and who made it. */
export function AdjustmentList({ trial, file, findings, canChange }: AdjustmentListProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const reorder = useMutation(trpc.quality.reorder.mutationOptions());
  const [said, setSaid] = useState("");
  const [last, setMoved] = useState<{ readonly adjustmentId: string; readonly by: -1 | 1 } | null>(null);
  const list = useRef<HTMLOListElement>(null);
  const adjustments = [...file.adjustments].sort((a, b) => a.position - b.position);

  // What is moved in the page loses the focus: it gets it back, on the other button where it came to an end.
  useEffect(() => {
    if (last === null) return;
    const buttons = [
      ...(list.current?.querySelectorAll<HTMLButtonElement>(`[data-move="${last.adjustmentId}"]`) ?? []),
    ];
    const wanted = buttons[last.by === -1 ? 0 : 1];
    (wanted?.disabled === false ? wanted : buttons.find((button) => !button.disabled))?.focus();
  }, [last]);

  const move = (index: number, by: -1 | 1) => {
    if (reorder.isPending) return;
    const order = adjustments.map(({ adjustmentId }) => adjustmentId);
    const [moved] = order.splice(index, 1);
    if (moved === undefined) return;
    order.splice(index + by, 0, moved);
    reorder.mutate(
      { studyId, sourceFileId: file.sourceFileId, trialRevision: trial.revision, order },
      {
        onError: refresh,
        onSuccess: async () => {
          await refresh();
          setSaid(`Now ${index + by + 1} of ${order.length}.`);
          setMoved({ adjustmentId: moved, by });
        },
      },
    );
  };

  return (
    <>
      <ol ref={list} className={classes.list} aria-label={`Adjustments of ${file.fileName}`}>
        {adjustments.map((adjustment, index) => (
          <li
            key={adjustment.adjustmentId}
            id={idOfAdjustment(adjustment.adjustmentId)}
            tabIndex={-1}
            className={classes.adjustment}
          >
            <div className={classes.place}>{index + 1}.</div>
            <AdjustmentWords adjustment={adjustment} findings={findings} />
            {canChange && (
              <div className={classes.buttons} data-screen-only>
                <UndoButton adjustment={adjustment} place={index + 1} />
                {adjustments.length > 1 && (
                  <>
                    <ActionIcon
                      data-move={adjustment.adjustmentId}
                      aria-label={`Apply adjustment ${index + 1}, ${adjustment.title}, earlier`}
                      disabled={index === 0}
                      onClick={() => move(index, -1)}
                    >
                      <IconArrowUp size={18} stroke={1.75} aria-hidden />
                    </ActionIcon>
                    <ActionIcon
                      data-move={adjustment.adjustmentId}
                      aria-label={`Apply adjustment ${index + 1}, ${adjustment.title}, later`}
                      disabled={index === adjustments.length - 1}
                      onClick={() => move(index, 1)}
                    >
                      <IconArrowDown size={18} stroke={1.75} aria-hidden />
                    </ActionIcon>
                  </>
                )}
              </div>
            )}
          </li>
        ))}
      </ol>
      <span role="status" className={classes.spoken}>
        {said}
      </span>
      {reorder.error !== null && (
        <Text role="alert" c="var(--mantine-color-error)">
          {failureOf(reorder.error).message} The order was not changed.
        </Text>
      )}
    </>
  );
}

interface AdjustmentWordsProps {
  readonly adjustment: Adjustment;
  readonly findings: readonly NumberedFinding[];
}

function AdjustmentWords({ adjustment, findings }: AdjustmentWordsProps) {
  const { title, reason, by, at, state, findingKey, largestChangeC, maskedSamples, setBackBecause } =
    adjustment;
  const cause = findings.find(({ finding }) => finding.key === findingKey);
  return (
    <div className={classes.words}>
      <div className={classes.title} data-undone={state === "undone" || undefined}>
        {title}
      </div>
      <div className={classes.facts}>
        <StateBadge shape={state === "active" ? "tick" : "struck"}>
          {state === "active" ? "applied" : "undone"}
        </StateBadge>
        {state === "active" && largestChangeC !== null && (
          <span>largest change {formatNumber(largestChangeC, 2)} °C</span>
        )}
        {state === "active" && maskedSamples !== null && maskedSamples > 0 && (
          <span>{maskedSamples} values masked</span>
        )}
        {cause !== undefined && <span>for finding {cause.number}</span>}
        <span>
          {by}, {formatMoment(at)}
        </span>
      </div>
      <p>{reason}</p>
      {setBackBecause !== null && <p className={classes.quiet}>{setBackBecause}</p>}
    </div>
  );
}

interface UndoButtonProps {
  readonly adjustment: Adjustment;
  readonly place: number;
}

/** One button for both ways: it stays where the keyboard is. */
function UndoButton({ adjustment, place }: UndoButtonProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const undo = useMutation(trpc.quality.undo.mutationOptions());
  const redo = useMutation(trpc.quality.redo.mutationOptions());
  const active = adjustment.state === "active";
  const { adjustmentId, revision } = adjustment;
  const change = active ? undo : redo;
  const failure = undo.error ?? redo.error;
  return (
    <>
      <Button
        size="compact-sm"
        loading={undo.isPending || redo.isPending}
        onClick={() => {
          undo.reset();
          redo.reset();
          change.mutate({ studyId, adjustmentId, revision }, { onSuccess: refresh, onError: refresh });
        }}
      >
        {active ? "Undo" : "Redo"}
        <span className={classes.spoken}>
          {" "}
          adjustment {place}, {adjustment.title}
        </span>
      </Button>
      {failure !== null && (
        <Text role="alert" c="var(--mantine-color-error)">
          {failureOf(failure).message}
        </Text>
      )}
    </>
  );
}
