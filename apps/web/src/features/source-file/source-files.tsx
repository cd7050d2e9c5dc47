"use client";

import { useState } from "react";
import { z } from "zod";
import { FileDrop, type UploadControls } from "@/components/file-drop";
import { SectionHeading } from "@/components/section-heading";
import { sendFile, sha256OfFile } from "@/components/send-file";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { canEdit, type Trial } from "@/features/trial/trial-words";
import classes from "./source-file.module.css";
import { SourceFileRow } from "./source-file-row";

const received = z.object({
  sourceFileId: z.string(),
  sha256: z.string(),
  problem: z.object({ message: z.string() }).nullable(),
});

/** The files of a trial as instruments exported them: sent, kept byte for byte, and read by a column map. */
export function SourceFiles({ trial }: { readonly trial: Trial }) {
  const { studyId, may } = useStudy();
  const refresh = useRefreshTrial();
  const [opened, setOpened] = useState<string | null>(null);
  const open = canEdit(trial);

  const upload = async (file: File, { signal, onProgress }: UploadControls) => {
    const sha256 = await sha256OfFile(file, signal);
    const answer = await sendFile(file, {
      url: `/api/studies/${studyId}/trials/${trial.trialId}/files`,
      headers: { "X-File-Sha256": sha256 },
      signal,
      onProgress,
    });
    return received.parse(answer);
  };

  return (
    <section className={classes.section}>
      <SectionHeading explanation="Exactly as the instrument exported them: CSV or other delimited text, also packed with gzip. They are never altered.">
        Source files
      </SectionHeading>
      {trial.sourceFiles.length === 0 && !may("file.upload") && (
        <p className={classes.quiet}>No source file has been uploaded.</p>
      )}
      {trial.sourceFiles.map((file) => (
        <SourceFileRow
          key={file.sourceFileId}
          trial={trial}
          file={file}
          opened={opened === file.sourceFileId}
          onToggle={() => setOpened(opened === file.sourceFileId ? null : file.sourceFileId)}
          onRead={() => setOpened(null)}
        />
      ))}
      {may("file.upload") && open && (
        <FileDrop
          label={
            trial.sourceFiles.length === 0 ? "Drop the source file here" : "Drop another source file here"
          }
          hint="Everybody in the team sees the file's name: leave people's names out of it."
          upload={upload}
          onDone={async ({ sourceFileId }) => {
            await refresh();
            if (may("sourceFile.read")) setOpened(sourceFileId);
          }}
        />
      )}
    </section>
  );
}
