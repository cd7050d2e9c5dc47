"use client";

import { useCallback, useEffect, useRef, useState } from "react";
import { z } from "zod";
import { formatBytes } from "./format-bytes";
import { randomKey } from "./random-key";
import { SendFileError } from "./send-file";
import { readNote, writeNote } from "./session-note";
import { progressOf, type TransferProgress, type TransferSample, withSample } from "./transfer-rate";

export interface UploadControls {
  readonly signal: AbortSignal;
  /** Share of the file that was looked at before it is sent, 0 to 1. */
  readonly onChecked: (share: number) => void;
  readonly onProgress: (loaded: number, total: number) => void;
}

export type UploadPhase =
  | { readonly kind: "waiting" }
  | { readonly kind: "checking"; readonly share: number }
  | { readonly kind: "sending"; readonly progress: TransferProgress }
  | {
      readonly kind: "failed";
      readonly message: string;
      readonly cancelled: boolean;
      readonly again: boolean;
    }
  | { readonly kind: "done" };

export interface QueuedFile {
  readonly id: string;
  readonly file: File;
  readonly phase: UploadPhase;
  /** Whether it was chosen by itself, and not among others. */
  readonly alone: boolean;
}

interface UploadQueueOptions<Result> {
  readonly upload: (file: File, controls: UploadControls) => Promise<Result>;
  readonly onDone: (result: Result, alone: boolean) => void | Promise<void>;
  readonly maxBytes?: number;
  /** Under which name unfinished files are noted, so that a reload can say what did not arrive. */
  readonly memory: string;
}

const names = z.array(z.string());

function wordsOf(error: unknown, file: File): string {
  // The browser reads the file only as it is sent, and says no more than that it cannot.
  if (error instanceof DOMException) {
    return `“${file.name}” cannot be read from your computer: it was moved or changed since you chose it. Nothing was kept; choose it again.`;
  }
  return error instanceof Error ? error.message : String(error);
}

/** Sends files one after the other; each can be cancelled and tried again, and none stops the others. */
export function useUploadQueue<Result>({ upload, onDone, maxBytes, memory }: UploadQueueOptions<Result>) {
  const [files, setFiles] = useState<readonly QueuedFile[]>([]);
  const [interrupted, setInterrupted] = useState<readonly string[]>([]);
  const queue = useRef<QueuedFile[]>([]);
  const stops = useRef(new Map<string, AbortController>());
  const running = useRef(false);
  const latest = useRef({ upload, onDone });
  latest.current = { upload, onDone };

  // After a reload, the browser has no hold on the files any more: it can only be said which did not arrive.
  useEffect(() => {
    const kept = names.safeParse(readNote(memory));
    if (kept.success) setInterrupted(kept.data);
  }, [memory]);

  const left = useRef(false);
  const show = useCallback(() => {
    if (left.current) return;
    setFiles([...queue.current]);
    const open = queue.current.filter(({ phase }) => phase.kind !== "done" && phase.kind !== "failed");
    writeNote(memory, open.length === 0 ? null : open.map(({ file }) => file.name));
  }, [memory]);

  const put = useCallback(
    (id: string, phase: UploadPhase) => {
      queue.current = queue.current.map((entry) => (entry.id === id ? { ...entry, phase } : entry));
      show();
    },
    [show],
  );

  const send = useCallback(
    async ({ id, file, alone }: QueuedFile) => {
      const stop = new AbortController();
      stops.current.set(id, stop);
      put(id, { kind: "checking", share: 0 });
      let samples: TransferSample[] = [];
      let shownAt = Number.NEGATIVE_INFINITY;
      /** Ten times a second is as often as anybody reads it. */
      const showSometimes = (phase: UploadPhase, whole: boolean) => {
        if (!whole && performance.now() - shownAt < 100) return;
        shownAt = performance.now();
        put(id, phase);
      };
      try {
        const result = await latest.current.upload(file, {
          signal: stop.signal,
          onChecked: (share) => showSometimes({ kind: "checking", share }, share >= 1),
          onProgress: (loaded, total) => {
            samples = withSample(samples, { atMs: performance.now(), loaded });
            showSometimes({ kind: "sending", progress: progressOf(samples, total) }, loaded >= total);
          },
        });
        put(id, { kind: "done" });
        await latest.current.onDone(result, alone);
      } catch (error) {
        const cancelled = error instanceof SendFileError && error.failure === "cancelled";
        const message = wordsOf(error, file);
        put(id, { kind: "failed", message, cancelled, again: true });
      } finally {
        stops.current.delete(id);
      }
    },
    [put],
  );

  const run = useCallback(async () => {
    if (running.current) return;
    running.current = true;
    for (;;) {
      const next = queue.current.find(({ phase }) => phase.kind === "waiting");
      if (next === undefined) break;
      await send(next);
    }
    running.current = false;
  }, [send]);

  const phaseOf = useCallback(
    (file: File): UploadPhase => {
      const refused = (message: string): UploadPhase => ({
        kind: "failed",
        message: `“${file.name}” ${message} Nothing was sent.`,
        cancelled: false,
        again: false,
      });
      if (file.size === 0) return refused("is empty (0 bytes). Export it again.");
      if (maxBytes !== undefined && file.size > maxBytes) {
        return refused(`has ${formatBytes(file.size)}; at most ${formatBytes(maxBytes)} can be taken.`);
      }
      return { kind: "waiting" };
    },
    [maxBytes],
  );

  const add = useCallback(
    (chosen: readonly File[]) => {
      if (chosen.length === 0) return;
      // What is settled has been read: a new choice begins a new list, and what failed stays until it is dealt with.
      const open = queue.current.filter(
        ({ phase }) => phase.kind !== "done" && !(phase.kind === "failed" && !phase.again),
      );
      queue.current = [
        ...open,
        ...chosen.map((file) => ({
          id: randomKey("upload"),
          file,
          phase: phaseOf(file),
          alone: chosen.length === 1,
        })),
      ];
      setInterrupted([]);
      show();
      void run();
    },
    [phaseOf, run, show],
  );

  const cancel = useCallback(
    (id: string) => {
      const stop = stops.current.get(id);
      if (stop !== undefined) stop.abort();
      else {
        put(id, {
          kind: "failed",
          message: "The upload was cancelled before it began. Nothing was sent.",
          cancelled: true,
          again: true,
        });
      }
    },
    [put],
  );

  const retry = useCallback(
    (id: string) => {
      put(id, { kind: "waiting" });
      void run();
    },
    [put, run],
  );

  const dismiss = useCallback(
    (id: string) => {
      queue.current = queue.current.filter((entry) => entry.id !== id);
      show();
    },
    [show],
  );

  const forgetInterrupted = useCallback(() => {
    setInterrupted([]);
    writeNote(memory, null);
  }, [memory]);

  useEffect(() => {
    const under = stops.current;
    left.current = false;
    return () => {
      // Whoever leaves the page for another screen leaves the rest unsent; the note goes on saying which files.
      left.current = true;
      for (const stop of under.values()) stop.abort();
    };
  }, []);

  const busy = files.some(({ phase }) => phase.kind !== "done" && phase.kind !== "failed");
  return { files, busy, interrupted, add, cancel, retry, dismiss, forgetInterrupted };
}
