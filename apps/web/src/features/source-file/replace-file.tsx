"use client";

import { Textarea } from "@mantine/core";
import { useState } from "react";
import { z } from "zod";
import { FileDrop } from "@/components/file-drop";
import { useKeptEntry } from "@/components/use-kept-entry";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import type { Trial } from "@/features/trial/trial-words";
import classes from "./source-file.module.css";
import type { SourceFileOfTrial } from "./source-file-row";
import { useSendToTrial } from "./use-send-to-trial";

const text = z.string();

interface ReplaceFileProps {
  readonly trial: Trial;
  readonly file: SourceFileOfTrial;
  readonly onDone: () => void;
}

/** A new export of the same recording takes the place of a file; the reason first, then the file. */
export function ReplaceFile({ trial, file, onDone }: ReplaceFileProps) {
  const refresh = useRefreshTrial();
  const reason = useKeptEntry(`reason to replace ${file.sourceFileId}`, "", text);
  const [asked, setAsked] = useState(false);
  const given = reason.entry.trim().length >= 3;
  const upload = useSendToTrial(trial.trialId, {
    "X-Replaces": file.sourceFileId,
    "X-Replaces-Revision": String(file.revision),
    "X-Reason": encodeURIComponent(reason.entry.trim()),
  });
  return (
    <div className={`${classes.editor} ${classes.words}`}>
      <p>
        For a new export of the same recording. It takes the place of {file.name}, is read by the same column
        map where its layout is the same, and lies where the old one lay on the trial's clock. The bytes of
        the old file are kept, and it can be put back. Adjustments of the old file are not carried over: look
        at the quality of the new one.
      </p>
      <Textarea
        label="Reason"
        description="Kept in the audit trail. At least 3 characters."
        value={reason.entry}
        onChange={(event) => reason.change(event.currentTarget.value)}
        onBlur={() => setAsked(true)}
        error={asked && !given ? "Say why the file is replaced; then choose the new one." : null}
        maxLength={500}
        autosize
        minRows={2}
      />
      <FileDrop
        single
        label="Drop the new export here"
        hint={given ? "One file." : "The reason comes first."}
        disabled={!given}
        memory={`replacing ${file.sourceFileId}`}
        upload={upload}
        onDone={async () => {
          reason.forget();
          await refresh();
          onDone();
        }}
      />
    </div>
  );
}
