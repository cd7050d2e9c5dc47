"use client";

import { Button, Text } from "@mantine/core";
import { IconDownload } from "@tabler/icons-react";
import { z } from "zod";
import { saveBlob } from "@/components/save-blob";
import { useAttempt } from "@/components/use-attempt";

const refusal = z.object({ message: z.string().min(1) });

/** The token goes in the body of the request, so that no address holds it. */
async function fetchOwn(path: string, asked: Readonly<Record<string, string>>, type: string): Promise<Blob> {
  const answer = await fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(asked),
  });
  if (answer.ok) return new Blob([await answer.arrayBuffer()], { type });
  const said = refusal.safeParse(await answer.json().catch(() => null));
  throw new Error(said.success ? said.data.message : "It could not be fetched. Try again.");
}

interface OwnDownloadProps {
  readonly label: string;
  readonly fileName: string;
  readonly path: "/api/for-you/copy" | "/api/for-you/own-data";
  readonly asked: Readonly<Record<string, string>>;
  readonly type: "application/pdf" | "application/zip";
}

/** Saves what a volunteer is given by the own link. */
export function OwnDownload({ label, fileName, path, asked, type }: OwnDownloadProps) {
  const { pending, failure, attempt } = useAttempt();
  return (
    <div>
      <Button
        leftSection={<IconDownload size={16} stroke={1.75} aria-hidden />}
        loading={pending}
        onClick={() => attempt(async () => saveBlob(await fetchOwn(path, asked, type), fileName))}
      >
        {label}
      </Button>
      {failure !== null && (
        <Text role="alert" c="var(--mantine-color-error)" mt="xs">
          {failure}
        </Text>
      )}
    </div>
  );
}
