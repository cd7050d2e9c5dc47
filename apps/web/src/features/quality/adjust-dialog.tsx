"use client";

import { Button, Group, Modal, NativeSelect, Text, Textarea } from "@mantine/core";
import { useDebouncedValue, useMediaQuery } from "@mantine/hooks";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import type { TimeSpan } from "@/charts/course";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import type { Trial } from "@/features/trial/trial-words";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import {
  type AdjustmentDraft,
  draftOf,
  emptyDraft,
  kindOrder,
  kindWords,
  pickMoment,
  settingsOf,
} from "./adjustment-draft";
import { AdjustmentFields } from "./adjustment-fields";
import { AdjustmentPreview } from "./adjustment-preview";
import classes from "./quality.module.css";
import type { NumberedFinding, QualityFile } from "./quality-words";
import { useFileSeries } from "./use-file-series";

/** What an adjustment begins from: a finding with its proposal, or nothing but a file. */
export interface AdjustStart {
  readonly file: QualityFile;
  readonly numbered: NumberedFinding | null;
}

interface AdjustDialogProps {
  readonly trial: Trial;
  readonly files: readonly QualityFile[];
  readonly start: AdjustStart | null;
  readonly onClose: () => void;
}

/** Asks for an adjustment and its reason, and shows what it will do before it is recorded. */
export function AdjustDialog({ trial, files, start, onClose }: AdjustDialogProps) {
  const narrow = useMediaQuery("(max-width: 60em)") ?? false;
  return (
    <Modal
      opened={start !== null}
      onClose={onClose}
      title={start?.numbered ? `Adjust for finding ${start.numbered.number}` : "Make an adjustment"}
      size={1080}
      fullScreen={narrow}
    >
      {start !== null && <AdjustForm trial={trial} files={files} start={start} onClose={onClose} />}
    </Modal>
  );
}

interface AdjustFormProps extends AdjustDialogProps {
  readonly start: AdjustStart;
}

function AdjustForm({ trial, files, start, onClose }: AdjustFormProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const proposal = start.numbered?.finding.proposal ?? null;
  const [fileId, setFileId] = useState(start.file.sourceFileId);
  const [draft, setDraft] = useState<AdjustmentDraft>(
    proposal === null ? emptyDraft("common step") : draftOf(proposal),
  );
  const [reason, setReason] = useState("");
  const [complaint, setComplaint] = useState<string | null>(null);
  const adjust = useMutation(trpc.quality.adjust.mutationOptions());
  const file = files.find(({ sourceFileId }) => sourceFileId === fileId) ?? start.file;
  const series = useFileSeries(trial.trialId, file);
  const settings = settingsOf(draft);
  const [typed] = useDebouncedValue(draft, 300);

  const submit = (event: FormEvent) => {
    event.preventDefault();
    const text = reason.trim();
    if (settings === null) {
      setComplaint("Fill in every number of the adjustment first.");
      return;
    }
    if (text.length < 3) {
      setComplaint("Please write the reason in a few words: it is kept with the adjustment.");
      return;
    }
    setComplaint(null);
    adjust.mutate(
      {
        studyId,
        sourceFileId: file.sourceFileId,
        trialRevision: trial.revision,
        settings,
        reason: text,
        findingKey: start.numbered?.finding.key ?? null,
      },
      {
        onSuccess: async () => {
          await refresh();
          onClose();
        },
        // Somebody changed the trial meanwhile: what is shown is read anew, and what was entered stays.
        onError: refresh,
      },
    );
  };

  const failure = adjust.error === null ? null : failureOf(adjust.error);
  return (
    <form onSubmit={submit} noValidate className={classes.adjust}>
      <div className={classes.entries}>
        {start.numbered !== null ? (
          <p>
            {start.numbered.finding.title}, in {file.fileName}. {kindWords[draft.kind].explanation}
          </p>
        ) : (
          <>
            {files.length > 1 && (
              <NativeSelect
                label="Source file"
                value={fileId}
                data={files.map(({ sourceFileId, fileName }) => ({ value: sourceFileId, label: fileName }))}
                onChange={(event) => setFileId(event.currentTarget.value)}
              />
            )}
            <NativeSelect
              label="What is adjusted"
              value={draft.kind}
              data={kindOrder.map((kind) => ({ value: kind, label: kindWords[kind].name }))}
              onChange={(event) => {
                const kind = kindOrder.find((known) => known === event.currentTarget.value);
                if (kind !== undefined) setDraft(emptyDraft(kind));
              }}
              data-autofocus
            />
            <p>{kindWords[draft.kind].explanation}</p>
          </>
        )}
        <AdjustmentFields draft={draft} onChange={setDraft} series={series} />
      </div>
      <AdjustmentPreview
        trial={trial}
        file={file}
        settings={settingsOf(typed)}
        series={series}
        concerned={start.numbered?.finding ?? null}
        highlight={markedBy(draft)}
        onPickTime={pickMoment(draft, 0) === draft ? null : (seconds) => setDraft(pickMoment(draft, seconds))}
      />
      <div className={`${classes.entries} ${classes.decide}`}>
        <Textarea
          label="Reason"
          value={reason}
          onChange={(event) => setReason(event.currentTarget.value)}
          error={complaint}
          maxLength={500}
          autosize
          minRows={2}
          maxRows={6}
          required
          {...(start.numbered === null ? {} : { "data-autofocus": true })}
        />
        {failure !== null && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message} What you entered is still here.
          </Text>
        )}
        <Group gap="sm">
          <Button type="submit" variant="filled" loading={adjust.isPending}>
            Record the adjustment
          </Button>
          <Button onClick={onClose} disabled={adjust.isPending}>
            Cancel
          </Button>
        </Group>
      </div>
    </form>
  );
}

/** The moment or the interval that a draft names, to be marked in the figure. */
function markedBy(draft: AdjustmentDraft): TimeSpan | null {
  switch (draft.kind) {
    case "common step":
      return draft.atS === null ? null : { fromS: draft.atS, toS: draft.atS };
    case "warming-up drift":
      return draft.startS === null ? null : { fromS: draft.startS, toS: draft.startS };
    case "mask":
      return draft.fromS === null ? null : { fromS: draft.fromS, toS: draft.toS ?? draft.fromS };
    case "reference drift":
    case "time shift":
    case "emissivity":
      return null;
  }
}
