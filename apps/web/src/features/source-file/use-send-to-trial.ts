"use client";

import { z } from "zod";
import type { UploadControls } from "@/components/file-drop";
import { SendFileError, sendFile, sha256OfFile } from "@/components/send-file";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";

const received = z.object({
  sourceFileId: z.string(),
  sha256: z.string(),
  problem: z.object({ message: z.string() }).nullable(),
  read: z.boolean(),
});

/** Sends a file to a trial; `headers` say more of it than its name and size. */
export function useSendToTrial(trialId: string, headers: Readonly<Record<string, string>> = {}) {
  const { studyId } = useStudy();
  const refresh = useRefreshTrial();
  return async (file: File, { signal, onChecked, onProgress }: UploadControls) => {
    const sha256 = await sha256OfFile(file, signal, onChecked);
    try {
      const answer = await sendFile(file, {
        url: `/api/studies/${studyId}/trials/${trialId}/files`,
        headers: { "X-File-Sha256": sha256, ...headers },
        signal,
        onProgress,
      });
      return received.parse(answer);
    } catch (error) {
      // The answer may have been lost after the file was kept: what stands in the trial says so. That is not waited for,
      // because without a connection it comes only once there is one again.
      if (error instanceof SendFileError && error.failure !== "cancelled") void refresh();
      throw error;
    }
  };
}
