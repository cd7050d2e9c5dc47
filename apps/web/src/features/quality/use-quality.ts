"use client";

import { useQuery } from "@tanstack/react-query";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";

/** Findings and adjustments of one trial. Whoever asks twice is answered once. */
export function useQuality(trialId: string, enabled = true) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  return useQuery(trpc.quality.ofTrial.queryOptions({ studyId, trialId }, { enabled }));
}
