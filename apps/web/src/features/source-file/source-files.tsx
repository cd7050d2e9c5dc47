"use client";

import { useState } from "react";
import { FileDrop } from "@/components/file-drop";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { canEdit, type Trial } from "@/features/trial/trial-words";
import classes from "./source-file.module.css";
import { type FilePanel, SourceFileRow } from "./source-file-row";
import { useSendToTrial } from "./use-send-to-trial";

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
          onDone={async ({ sourceFileId }, alone) => {
            // Before the list is read anew, so that its row comes opened. With several files on their way, what is being
            // looked at stays open.
            if (may("sourceFile.read")) {
              setOpened((now) => (now === null || alone ? { id: sourceFileId, panel: "column map" } : now));
            }
            await refresh();
          }}
        />
      )}
    </section>
  );
}
