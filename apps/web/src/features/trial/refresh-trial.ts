"use client";

import { useQueryClient } from "@tanstack/react-query";
import { useCallback } from "react";
import { useTRPC } from "@/trpc/client";

/** Reads anew whatever shows this trial, after something in it was changed. */
export function useRefreshTrial(): () => Promise<void> {
  const trpc = useTRPC();
  const queries = useQueryClient();
  return useCallback(async () => {
    await Promise.all([
      queries.invalidateQueries({ queryKey: trpc.trial.pathKey() }),
      queries.invalidateQueries({ queryKey: trpc.sourceFile.pathKey() }),
      queries.invalidateQueries({ queryKey: trpc.columnMap.pathKey() }),
      queries.invalidateQueries({ queryKey: trpc.imaging.pathKey() }),
      queries.invalidateQueries({ queryKey: trpc.methods.pathKey() }),
      queries.invalidateQueries({ queryKey: trpc.quality.pathKey() }),
    ]);
  }, [queries, trpc]);
}
