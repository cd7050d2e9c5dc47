"use client";

import { Button } from "@mantine/core";
import { type DragEvent, type ReactNode, useId, useRef, useState } from "react";
import classes from "./file-drop.module.css";
import { UploadRow } from "./upload-row";
import { useLeaveGuard } from "./use-leave-guard";
import { type UploadControls, useUploadQueue } from "./use-upload-queue";

export type { UploadControls } from "./use-upload-queue";

interface FileDropProps<Result> {
  /** "Drop source files here" */
  readonly label: string;
  /** Which kinds of file, how large. */
  readonly hint?: ReactNode;
  /** As in an input's `accept`; only a proposal to the file chooser, never a check. */
  readonly accept?: string;
  readonly maxBytes?: number;
  readonly disabled?: boolean;
  /** Takes one file at a time. */
  readonly single?: boolean;
  /** Distinguishes this place from others, so that a reload can say which files did not arrive here. */
  readonly memory: string;
  /** Sends one file (see `sendFile`); rejects with an error whose message is shown. */
  readonly upload: (file: File, controls: UploadControls) => Promise<Result>;
  /** `alone`: the file was chosen by itself, and not among others. */
  readonly onDone: (result: Result, alone: boolean) => void | Promise<void>;
}

/** Takes files by drop or by choice and sends them in a queue: each with its progress, to be cancelled and tried again. */
export function FileDrop<Result>({
  label,
  hint,
  accept,
  maxBytes,
  disabled = false,
  single = false,
  memory,
  upload,
  onDone,
}: FileDropProps<Result>) {
  const queue = useUploadQueue({
    upload,
    onDone,
    memory: `unfinished uploads ${memory}`,
    ...(maxBytes === undefined ? {} : { maxBytes }),
  });
  const [over, setOver] = useState(false);
  const [tooMany, setTooMany] = useState<number | null>(null);
  const input = useRef<HTMLInputElement>(null);
  const hintId = useId();
  useLeaveGuard(queue.busy);
  const closed = disabled || (single && queue.busy);

  const take = (list: FileList | null) => {
    const files = Array.from(list ?? []);
    setTooMany(single && files.length > 1 ? files.length : null);
    if (!single || files.length === 1) queue.add(files);
  };
  const drop = (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    if (!closed) take(event.dataTransfer.files);
  };
  const sent = queue.files.filter(({ phase }) => phase.kind === "done").length;
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is a shortcut; the same is done with the button inside
    <div
      className={classes.drop}
      data-over={over || undefined}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(!closed);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={drop}
    >
      <input
        ref={input}
        type="file"
        className={classes.input}
        aria-label={label}
        aria-describedby={hintId}
        tabIndex={-1}
        disabled={closed}
        multiple={!single}
        {...(accept === undefined ? {} : { accept })}
        onChange={(event) => {
          take(event.currentTarget.files);
          event.currentTarget.value = "";
        }}
      />
      <div className={classes.row}>
        <p className={classes.label}>{label}</p>
        <Button disabled={closed} onClick={() => input.current?.click()}>
          {single ? "Choose a file" : "Choose files"}
        </Button>
      </div>
      <p id={hintId} className={classes.hint}>
        {hint}
      </p>
      {tooMany !== null && (
        <p role="alert" className={classes.failure}>
          {tooMany} files were given, and one can take this place. Nothing was sent; give the one that is
          meant.
        </p>
      )}
      {queue.interrupted.length > 0 && (
        <div role="status" className={classes.interrupted}>
          <p>
            {queue.interrupted.map((name) => `“${name}”`).join(", ")} had not arrived when this page was left,
            and nothing was kept of {queue.interrupted.length === 1 ? "it" : "them"}. Choose{" "}
            {queue.interrupted.length === 1 ? "it" : "them"} again.
          </p>
          <Button size="compact-sm" variant="subtle" onClick={queue.forgetInterrupted}>
            Do not say so again
          </Button>
        </div>
      )}
      {queue.files.length > 0 && (
        <ul className={classes.queue} aria-label="Uploads">
          {queue.files.map((entry) => (
            <UploadRow
              key={entry.id}
              entry={entry}
              onCancel={() => queue.cancel(entry.id)}
              onRetry={() => queue.retry(entry.id)}
              onDismiss={() => queue.dismiss(entry.id)}
            />
          ))}
        </ul>
      )}
      {queue.files.length > 1 && (
        <p className={classes.hint} role="status">
          {sent} of {queue.files.length} have arrived.
        </p>
      )}
    </div>
  );
}
