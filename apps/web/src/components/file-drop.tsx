"use client";

import { Button, Progress } from "@mantine/core";
import { type DragEvent, type ReactNode, useId, useRef, useState } from "react";
import classes from "./file-drop.module.css";
import { formatBytes } from "./format-bytes";
import { SendFileError } from "./send-file";

export interface UploadControls {
  readonly signal: AbortSignal;
  readonly onProgress: (share: number) => void;
}

interface FileDropProps<Result> {
  /** "Drop the source file here" */
  readonly label: string;
  /** Which kinds of file, how large. */
  readonly hint?: ReactNode;
  /** As in an input's `accept`; only a proposal to the file chooser, never a check. */
  readonly accept?: string;
  readonly maxBytes?: number;
  readonly disabled?: boolean;
  /** Sends one file (see `sendFile`); rejects with an error whose message is shown. */
  readonly upload: (file: File, controls: UploadControls) => Promise<Result>;
  readonly onDone: (result: Result, file: File) => void;
}

type Phase =
  | { readonly kind: "waiting" }
  | { readonly kind: "sending"; readonly file: File; readonly share: number; readonly stop: AbortController }
  | { readonly kind: "failed"; readonly file: File; readonly message: string; readonly cancelled: boolean }
  | { readonly kind: "done"; readonly file: File };

/** Takes one file by drop or by choice, shows how much has left, can be stopped and tried again. */
export function FileDrop<Result>({
  label,
  hint,
  accept,
  maxBytes,
  disabled = false,
  upload,
  onDone,
}: FileDropProps<Result>) {
  const [phase, setPhase] = useState<Phase>({ kind: "waiting" });
  const [over, setOver] = useState(false);
  const input = useRef<HTMLInputElement>(null);
  const hintId = useId();
  const closed = disabled || phase.kind === "sending";

  const send = async (file: File) => {
    if (file.size === 0) {
      setPhase({
        kind: "failed",
        file,
        cancelled: false,
        message: `“${file.name}” is empty (0 bytes). Nothing was sent.`,
      });
      return;
    }
    if (maxBytes !== undefined && file.size > maxBytes) {
      setPhase({
        kind: "failed",
        file,
        cancelled: false,
        message: `“${file.name}” has ${formatBytes(file.size)}; at most ${formatBytes(maxBytes)} can be taken. Nothing was sent.`,
      });
      return;
    }
    const stop = new AbortController();
    setPhase({ kind: "sending", file, share: 0, stop });
    try {
      const result = await upload(file, {
        signal: stop.signal,
        onProgress: (share) => setPhase({ kind: "sending", file, share, stop }),
      });
      setPhase({ kind: "done", file });
      onDone(result, file);
    } catch (error) {
      setPhase({
        kind: "failed",
        file,
        cancelled: error instanceof SendFileError && error.failure === "cancelled",
        message: error instanceof Error ? error.message : String(error),
      });
    }
  };

  const take = (files: FileList | null) => {
    const [first, ...others] = Array.from(files ?? []);
    if (first === undefined) return;
    if (others.length > 0) {
      setPhase({
        kind: "failed",
        file: first,
        cancelled: false,
        message: `${others.length + 1} files were dropped; please give one at a time. Nothing was sent.`,
      });
      return;
    }
    void send(first);
  };

  const drop = (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    if (!closed) take(event.dataTransfer.files);
  };

  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is a shortcut; the same is done with the button inside
    <div
      className={classes.drop}
      data-over={over || undefined}
      data-stop={(phase.kind === "failed" && !phase.cancelled) || undefined}
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
        {...(accept === undefined ? {} : { accept })}
        onChange={(event) => {
          take(event.currentTarget.files);
          event.currentTarget.value = "";
        }}
      />
      {phase.kind === "sending" ? (
        <div className={classes.sending}>
          <p aria-live="polite">
            {phase.share < 1 ? "Sending" : "Sent; the server is reading"} “{phase.file.name}”,{" "}
            {formatBytes(phase.file.size)}
          </p>
          <Progress value={phase.share * 100} aria-label={`Sent of ${phase.file.name}`} radius={0} size={4} />
          <div className={classes.row}>
            <span className="numbers">{Math.floor(phase.share * 100)} %</span>
            <Button onClick={() => phase.stop.abort()}>Cancel</Button>
          </div>
        </div>
      ) : (
        <>
          <p className={classes.label}>{label}</p>
          <p id={hintId} className={classes.hint}>
            {hint}
          </p>
          <div className={classes.row}>
            <Button disabled={closed} onClick={() => input.current?.click()}>
              Choose a file
            </Button>
            {phase.kind === "failed" && phase.file.size > 0 && (
              <Button disabled={closed} onClick={() => void send(phase.file)}>
                Try “{phase.file.name}” again
              </Button>
            )}
          </div>
          {phase.kind === "failed" && (
            <p role="alert" className={phase.cancelled ? classes.hint : classes.failure}>
              {phase.message}
            </p>
          )}
          {phase.kind === "done" && <p role="status">“{phase.file.name}” has arrived.</p>}
        </>
      )}
    </div>
  );
}
