"use client";

import { useState } from "react";
import { z } from "zod";
import { FileDrop, type UploadControls } from "@/components/file-drop";
import { SectionHeading } from "@/components/section-heading";
import { SendFileError, sendFile, sha256OfFile } from "@/components/send-file";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { canEdit, type Trial } from "@/features/trial/trial-words";
import classes from "./source-file.module.css";
import { type FilePanel, SourceFileRow } from "./source-file-row";

const received = z.object({
  sourceFileId: z.string(),
  sha256: z.string(),
  problem: z.object({ message: z.string() }).nullable(),
  read: z.boolean(),
});

/** Sends a file to a trial; `headers` say more of it than its name and size. */
export function useSendToTrial(trialId: string, headers: Readonly<Record<string, string>> = {}) {
  const { studyId } = useStudy();
  const refresh = useRefreshTrial();
  return async (file: File, { signal, onChecked, onProgress }: UploadControls) => {
    const sha256 = await sha256OfFile(file, signal, onChecked);
    try {
      const answer = await sendFile(file, {
        url: `/api/studies/${studyId}/trials/${trialId}/files`,
        headers: { "X-File-Sha256": sha256, ...headers },
        signal,
        onProgress,
      });
      return received.parse(answer);
    } catch (error) {
      // The answer may have been lost after the file was kept: what stands in the trial says so. That is not waited for,
      // because without a connection it comes only once there is one again.
      if (error instanceof SendFileError && error.failure !== "cancelled") void refresh();
      throw error;
    }
  };
}

/** The files of a trial as instruments exported them: sent, kept byte for byte, and read by a column map. */
export function SourceFiles({ trial }: { readonly trial: Trial }) {
  const { may } = useStudy();
  const refresh = useRefreshTrial();
  const [opened, setOpened] = useState<{ readonly id: string; readonly panel: FilePanel } | null>(null);
  const upload = useSendToTrial(trial.trialId);
  const open = canEdit(trial);
  return (
    <section className={classes.section}>
      <SectionHeading explanation="Exactly as the instruments exported them, also packed with gzip. They are never altered. Several files of one trial are put on one clock.">
        Source files{trial.sourceFiles.length > 1 && ` (${trial.sourceFiles.length})`}
      </SectionHeading>
      {trial.sourceFiles.length === 0 && !may("file.upload") && (
        <p className={classes.quiet}>No source file has been uploaded.</p>
      )}
      {trial.sourceFiles.map((file) => (
        <SourceFileRow
          key={file.sourceFileId}
          trial={trial}
          file={file}
          panel={opened?.id === file.sourceFileId ? opened.panel : null}
          onPanel={(panel) => setOpened(panel === null ? null : { id: file.sourceFileId, panel })}
        />
      ))}
      {may("file.upload") && open && (
        <FileDrop
          label={trial.sourceFiles.length === 0 ? "Drop source files here" : "Drop more source files here"}
          hint="Everybody in the team sees a file's name: leave people's names out of it."
          memory={`trial ${trial.trialId}`}
          upload={upload}
          onDone={async ({ sourceFileId }) => {
            await refresh();
            // With several files on their way, the map that is being looked at stays open.
            if (may("sourceFile.read")) setOpened((now) => now ?? { id: sourceFileId, panel: "column map" });
          }}
        />
      )}
    </section>
  );
}
