"use client";

import { Button, Text } from "@mantine/core";
import { IconDownload } from "@tabler/icons-react";
import { z } from "zod";
import { saveBlob } from "@/components/save-blob";
import { useAttempt } from "@/components/use-attempt";

const refusal = z.object({ message: z.string().min(1) });

/** Fetches one's own copy. The token goes in the body of the request, so that no address holds it. */
async function fetchCopy(token: string, recordId: string): Promise<Blob> {
  const answer = await fetch("/api/for-you/copy", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ token, recordId }),
  });
  if (answer.ok) return new Blob([await answer.arrayBuffer()], { type: "application/pdf" });
  const said = refusal.safeParse(await answer.json().catch(() => null));
  throw new Error(said.success ? said.data.message : "The copy could not be fetched. Try again.");
}

interface OwnCopyButtonProps {
  readonly token: string;
  readonly recordId: string;
  readonly fileName: string;
}

export function OwnCopyButton({ token, recordId, fileName }: OwnCopyButtonProps) {
  const { pending, failure, attempt } = useAttempt();
  return (
    <div>
      <Button
        leftSection={<IconDownload size={16} stroke={1.75} aria-hidden />}
        loading={pending}
        onClick={() => attempt(async () => saveBlob(await fetchCopy(token, recordId), fileName))}
      >
        Save my copy (PDF)
      </Button>
      {failure !== null && (
        <Text role="alert" c="var(--mantine-color-error)" mt="xs">
          {failure}
        </Text>
      )}
    </div>
  );
}
