"use client";

import { useCallback, useState } from "react";

interface Attempt {
  readonly pending: boolean;
  /** Why the last attempt failed, in the words of the error. */
  readonly failure: string | null;
  readonly attempt: (action: () => void | Promise<void>) => Promise<boolean>;
  readonly forget: () => void;
}

/** Runs an action once at a time, and keeps the message of its failure where it can be shown. */
export function useAttempt(): Attempt {
  const [pending, setPending] = useState(false);
  const [failure, setFailure] = useState<string | null>(null);
  const attempt = useCallback(async (action: () => void | Promise<void>) => {
    setPending(true);
    setFailure(null);
    try {
      await action();
      return true;
    } catch (error) {
      setFailure(error instanceof Error && error.message !== "" ? error.message : String(error));
      return false;
    } finally {
      setPending(false);
    }
  }, []);
  const forget = useCallback(() => setFailure(null), []);
  return { pending, failure, attempt, forget };
}
