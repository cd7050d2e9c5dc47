"use client";

import { Button, Group } from "@mantine/core";
import type { ReactNode } from "react";
import classes from "./unsaved-conflict.module.css";

export interface ConflictingField {
  readonly label: string;
  /** What this person has typed and not saved. */
  readonly mine: ReactNode;
  /** What somebody else saved meanwhile. */
  readonly theirs: ReactNode;
}

interface UnsavedConflictProps {
  /** What is being edited: "this protocol". */
  readonly record: string;
  /** Who saved meanwhile, and when, if known. */
  readonly savedBy?: ReactNode;
  /** The fields whose two versions differ. */
  readonly fields: readonly ConflictingField[];
  /** Save mine over theirs (the caller repeats the save on the newer revision). */
  readonly onKeepMine: () => void;
  /** Leave theirs as saved and drop what I typed. */
  readonly onTakeTheirs: () => void;
  readonly pending?: boolean;
}

/** Somebody else saved the same record first. Nothing typed is lost: both versions stand side by side until one is chosen. */
export function UnsavedConflict({
  record,
  savedBy,
  fields,
  onKeepMine,
  onTakeTheirs,
  pending = false,
}: UnsavedConflictProps) {
  return (
    <section className={classes.conflict} role="alert" aria-label="Two versions">
      <p className={classes.title}>
        {savedBy === undefined ? "Somebody else" : savedBy} saved {record} while you were editing.
      </p>
      <p>Your text is not saved yet and is still in the form. Compare the two versions, then choose.</p>
      <div className={classes.scroll}>
        <table>
          <thead>
            <tr>
              <th scope="col">Field</th>
              <th scope="col">Yours, not saved</th>
              <th scope="col">Saved meanwhile</th>
            </tr>
          </thead>
          <tbody>
            {fields.map((field) => (
              <tr key={field.label}>
                <th scope="row">{field.label}</th>
                <td>{field.mine}</td>
                <td>{field.theirs}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <Group gap="sm">
        <Button variant="filled" onClick={onKeepMine} loading={pending}>
          Save mine over it
        </Button>
        <Button onClick={onTakeTheirs} disabled={pending}>
          Keep what was saved, drop mine
        </Button>
      </Group>
    </section>
  );
}
