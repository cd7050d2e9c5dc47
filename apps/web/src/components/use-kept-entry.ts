"use client";

import { useCallback, useEffect, useState } from "react";
import type { z } from "zod";
import { readNote, writeNote } from "./session-note";

/**
 * What somebody is entering, kept over a reload of the page in this tab until it is sent or given up. `schema` says what
 * a kept entry must look like to be taken up again.
 */
export function useKeptEntry<T>(key: string, initial: T, schema: z.ZodType<T>) {
  const [entry, setEntry] = useState(initial);
  const [restored, setRestored] = useState(false);
  // Only after the first drawing: the server, which draws the page first, knows of no note.
  useEffect(() => {
    const kept = schema.safeParse(readNote(key));
    if (!kept.success) return;
    setEntry(kept.data);
    setRestored(true);
  }, [key, schema]);
  const change = useCallback(
    (next: T) => {
      setEntry(next);
      writeNote(key, next);
    },
    [key],
  );
  const forget = useCallback(() => {
    writeNote(key, null);
    setRestored(false);
  }, [key]);
  return { entry, change, forget, restored };
}
