"use client";

import { Button, Group } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { FileDrop } from "@/components/file-drop";
import { formatMoment } from "@/components/format-moment";
import { sendFile } from "@/components/send-file";
import { GuardedDownload } from "@/features/account/guarded-download";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import classes from "./consent.module.css";
import type { ConsentEvent } from "./words";

type SignedRecord = Extract<ConsentEvent, { kind: "record" }>;

const ways: Readonly<Record<SignedRecord["way"], string>> = {
  paper: "Signed on paper.",
  here: "Signed on a device of the team.",
  own_device: "Signed by link, on the volunteer's own device.",
};

/** How a consent was signed, what shows it, and who of the team stands for it. */
export function RecordPapers({ record }: { readonly record: SignedRecord }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const countersign = useMutation(trpc.consent.countersign.mutationOptions());
  const [asking, setAsking] = useState(false);
  const again = () => queries.invalidateQueries({ queryKey: trpc.consent.pathKey() });
  const papers = record.papers.filter((paper) => paper.kind !== "signature");
  return (
    <div className={classes.papers}>
      <div className={classes.note}>
        {ways[record.way]}{" "}
        {record.countersigned === null
          ? "Not countersigned yet."
          : `Countersigned by ${record.countersigned.by}, ${formatMoment(record.countersigned.at)}.`}
      </div>
      <Group gap="sm" mt={4}>
        {may("consent.openPaper") &&
          papers.map((paper) => (
            <GuardedDownload
              key={paper.paperId}
              size="compact-sm"
              href={`/api/studies/${studyId}/signed-papers/${paper.paperId}`}
            >
              {paper.kind === "copy" ? "Copy" : "Scan"} of {formatMoment(paper.addedAt)}
            </GuardedDownload>
          ))}
        {may("consent.countersign") && record.countersigned === null && (
          <Button size="compact-sm" onClick={() => setAsking(true)}>
            Countersign
          </Button>
        )}
      </Group>
      {may("consent.addScan") && record.way === "paper" && papers.length === 0 && (
        <FileDrop
          label="Drop the scan of the paper form here"
          hint="PDF, PNG or JPEG, at most 15 MB. It is kept encrypted, and every look at it is recorded."
          accept=".pdf,.png,.jpg,.jpeg"
          maxBytes={15_000_000}
          single
          memory={`scan ${record.id}`}
          upload={(file, controls) =>
            sendFile(file, { url: `/api/studies/${studyId}/consent-records/${record.id}/scan`, ...controls })
          }
          onDone={async () => {
            await again();
          }}
        />
      )}
      <ConfirmDialog
        opened={asking}
        onClose={() => setAsking(false)}
        title="Countersign this consent?"
        confirmLabel="Countersign"
        onConfirm={async () => {
          await countersign.mutateAsync({ studyId, recordId: record.id });
          await again();
        }}
      >
        You confirm that the text was explained, that questions were answered, and that the volunteer signed.
        Your name and this moment are kept with the consent
        {record.way === "paper" ? "." : ", and the copy is made anew with them."}
      </ConfirmDialog>
    </div>
  );
}
