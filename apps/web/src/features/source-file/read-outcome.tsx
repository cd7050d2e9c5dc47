"use client";

import { Button } from "@mantine/core";
import { useState } from "react";
import type { Outputs } from "@/trpc/outputs";
import { ReadAgain } from "./read-again";
import classes from "./source-file.module.css";

export type ReadOutcome = Outputs["sourceFile"]["read"];

interface ReadOutcomeNoteProps {
  readonly outcome: ReadOutcome;
  readonly onClose: () => void;
}

/** What reading gave, and which other files were read by an earlier map of the same layout. */
export function ReadOutcomeNote({ outcome, onClose }: ReadOutcomeNoteProps) {
  const [shown, setShown] = useState(false);
  const { identical, traces, rowsUsed, readOtherwise, columnMapId } = outcome;
  return (
    <div className={classes.outcome}>
      <div className={classes.outcomeLine}>
        <p role="status">
          {identical
            ? "Read again: every trace is the same as before, bit for bit."
            : `${traces === 1 ? "1 trace was" : `${traces} traces were`} read from ${rowsUsed} ${rowsUsed === 1 ? "row" : "rows"}.`}
          {readOtherwise > 0 &&
            ` ${readOtherwise} ${
              readOtherwise === 1 ? "other file of this layout was" : "other files of this layout were"
            } read by an earlier map.`}
        </p>
        <div className={classes.tools}>
          {readOtherwise > 0 && columnMapId !== null && !shown && (
            <Button size="compact-sm" variant="filled" onClick={() => setShown(true)}>
              Look at {readOtherwise === 1 ? "it" : "them"}, to read {readOtherwise === 1 ? "it" : "them"}{" "}
              again
            </Button>
          )}
          <Button size="compact-sm" variant="subtle" onClick={onClose}>
            Close this note
          </Button>
        </div>
      </div>
      {shown && columnMapId !== null && <ReadAgain columnMapId={columnMapId} />}
    </div>
  );
}
