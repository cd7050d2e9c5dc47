"use client";

import { Button } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { useState } from "react";
import { ReasonDialog } from "@/components/reason-dialog";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { NumberedFinding } from "./quality-words";

interface DismissKindProps {
  /** The open findings of one kind. */
  readonly findings: readonly NumberedFinding[];
}

/** Dismisses many findings of one kind with one note: fifty spikes of one loose cable are one decision. */
export function DismissKind({ findings }: DismissKindProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const [opened, setOpened] = useState(false);
  const decide = useMutation(trpc.quality.decide.mutationOptions());
  const kind = findings[0]?.finding.kind ?? "";
  return (
    <>
      <Button variant="subtle" size="compact-sm" onClick={() => setOpened(true)}>
        Dismiss the {findings.length} open of this kind …
      </Button>
      <ReasonDialog
        opened={opened}
        onClose={() => setOpened(false)}
        title={`Dismiss ${findings.length} findings: ${kind}`}
        explanation={
          <p>
            Each stays in the list, marked as no fault of the recording, with the same note. No number is
            changed.
          </p>
        }
        reasonLabel="Why they are none"
        confirmLabel={`Dismiss ${findings.length}`}
        maxLength={500}
        onConfirm={async (note) => {
          let done = 0;
          try {
            for (const { file, finding } of findings) {
              await decide.mutateAsync({
                studyId,
                sourceFileId: file.sourceFileId,
                findingKey: finding.key,
                decision: "dismissed",
                note,
              });
              done += 1;
            }
          } catch (error) {
            throw new Error(
              `${done} of ${findings.length} are dismissed, the others are still open. ${failureOf(error).message}`,
            );
          } finally {
            await refresh();
          }
        }}
      />
    </>
  );
}
