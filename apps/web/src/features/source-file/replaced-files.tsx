"use client";

import { Button } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { useState } from "react";
import { Disclosure } from "@/components/disclosure";
import { DownloadButton } from "@/components/download-button";
import { formatBytes } from "@/components/format-bytes";
import { formatMoment } from "@/components/format-moment";
import { ReasonDialog } from "@/components/reason-dialog";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { canEdit, type Trial } from "@/features/trial/trial-words";
import { useTRPC } from "@/trpc/client";
import classes from "./source-file.module.css";
import type { SourceFileOfTrial } from "./source-file-row";

interface ReplacedFilesProps {
  readonly trial: Trial;
  readonly file: SourceFileOfTrial;
}

/** The files whose place a file has taken: kept as they were, to be looked at and put back. */
export function ReplacedFiles({ trial, file }: ReplacedFilesProps) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const [chosen, setChosen] = useState<SourceFileOfTrial["replaced"][number] | null>(null);
  const putBack = useMutation(trpc.sourceFile.putBack.mutationOptions());
  if (file.replaced.length === 0) return null;
  return (
    <Disclosure
      summary={
        file.replaced.length === 1
          ? `It has taken the place of ${file.replaced[0]?.name ?? "a file"}`
          : `It has taken the place of ${file.replaced.length} files`
      }
    >
      <ul className={classes.replaced}>
        {file.replaced.map((old) => (
          <li key={old.sourceFileId}>
            <p>
              <strong>{old.name}</strong>{" "}
              <span className={classes.quiet}>
                {formatBytes(old.sizeBytes)}, uploaded {formatMoment(old.uploadedAt)}
                {old.replacedAt !== null && `, replaced ${formatMoment(old.replacedAt)}`}
              </span>
            </p>
            <p>Reason: {old.reason}</p>
            <div className={classes.tools}>
              {may("file.download") && trial.storedUse && (
                <DownloadButton
                  size="compact-sm"
                  href={`/api/studies/${studyId}/trials/${trial.trialId}/files/${old.sourceFileId}`}
                  fileName={old.name}
                >
                  Download the replaced file
                </DownloadButton>
              )}
              {canEdit(trial) && may("sourceFile.putBack") && (
                <Button size="compact-sm" onClick={() => setChosen(old)}>
                  Put back
                </Button>
              )}
            </div>
          </li>
        ))}
      </ul>
      <ReasonDialog
        opened={chosen !== null}
        onClose={() => setChosen(null)}
        title={`Put ${chosen?.name ?? "the file"} back in its place`}
        explanation={
          <p>
            It is read as it was read before, and lies where it lay on the trial's clock. {file.name} is then
            kept as replaced. Nothing is deleted.
          </p>
        }
        confirmLabel="Put back"
        maxLength={500}
        onConfirm={async (reason) => {
          if (chosen === null) return;
          await putBack.mutateAsync({ studyId, sourceFileId: chosen.sourceFileId, reason });
          await refresh();
        }}
      />
    </Disclosure>
  );
}
