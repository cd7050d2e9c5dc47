"use client";

import { Button } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { useState } from "react";
import { Disclosure } from "@/components/disclosure";
import { DownloadButton } from "@/components/download-button";
import { formatBytes } from "@/components/format-bytes";
import { ReasonDialog } from "@/components/reason-dialog";
import { StateBadge } from "@/components/state-badge";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { canEdit, type Trial } from "@/features/trial/trial-words";
import { useTRPC } from "@/trpc/client";
import { ColumnMapEditor } from "./column-map-editor";
import { FileClock } from "./file-clock";
import { FileReading } from "./file-reading";
import { type ReadOutcome, ReadOutcomeNote } from "./read-outcome";
import { ReplaceFile } from "./replace-file";
import { ReplacedFiles } from "./replaced-files";
import classes from "./source-file.module.css";

export type SourceFileOfTrial = Trial["sourceFiles"][number];
export type FilePanel = "column map" | "clock" | "reading" | "replace";

const panelNames: Readonly<Record<FilePanel, string>> = {
  "column map": "Column map",
  clock: "Place in time",
  reading: "What was read",
  replace: "Replace",
};

interface SourceFileRowProps {
  readonly trial: Trial;
  readonly file: SourceFileOfTrial;
  /** What is opened below the file; one thing at a time. */
  readonly panel: FilePanel | null;
  readonly onPanel: (panel: FilePanel | null) => void;
}

export function SourceFileRow({ trial, file, panel, onPanel }: SourceFileRowProps) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const [removing, setRemoving] = useState(false);
  const [outcome, setOutcome] = useState<ReadOutcome | null>(null);
  const remove = useMutation(trpc.sourceFile.remove.mutationOptions());
  const changeable = canEdit(trial);
  const read = file.state === "read";
  const panels: FilePanel[] = [
    ...(changeable && may("sourceFile.read") ? (["column map"] as const) : []),
    ...(changeable && may("sourceFile.setOffset") && read ? (["clock"] as const) : []),
    "reading",
    ...(changeable && may("file.upload") ? (["replace"] as const) : []),
  ];
  const panelId = `panel-${file.sourceFileId}`;
  return (
    <article className={classes.file} aria-label={`Source file ${file.name}`}>
      <div className={classes.head}>
        <strong>{file.name}</strong>
        {read ? (
          <StateBadge shape="tick">
            read, {file.traces === 1 ? "1 trace" : `${file.traces} traces`}
          </StateBadge>
        ) : (
          <StateBadge shape="open">received, not read yet</StateBadge>
        )}
        <span className={`numbers ${classes.quiet}`}>{factsOf(file).join(" · ")}</span>
      </div>
      {file.offsetHow !== null && (
        <p className={classes.quiet}>
          Its zero lies at <span className="numbers">{file.offsetS} s</span> on the trial's clock.{" "}
          {file.offsetHow}
        </p>
      )}
      <Losses losses={file.losses} />
      <div className={classes.tools}>
        {panels.map((name) => (
          <Button
            key={name}
            size="compact-sm"
            variant={!read && name === "column map" ? "filled" : "default"}
            aria-expanded={panel === name}
            aria-controls={panelId}
            onClick={() => {
              setOutcome(null);
              onPanel(panel === name ? null : name);
            }}
          >
            {panel === name ? `Close: ${panelNames[name].toLowerCase()}` : panelLabel(name, file)}
          </Button>
        ))}
        {may("file.download") && trial.storedUse && (
          <DownloadButton
            size="compact-sm"
            href={`/api/studies/${studyId}/trials/${trial.trialId}/files/${file.sourceFileId}`}
            fileName={file.name}
          >
            Download
          </DownloadButton>
        )}
        {changeable && may("sourceFile.remove") && (
          <Button size="compact-sm" variant="subtle" onClick={() => setRemoving(true)}>
            Remove
          </Button>
        )}
      </div>
      {outcome !== null && <ReadOutcomeNote outcome={outcome} onClose={() => setOutcome(null)} />}
      <div id={panelId}>
        {panel === "column map" && (
          <ColumnMapEditor
            sourceFileId={file.sourceFileId}
            onRead={(result) => {
              setOutcome(result);
              onPanel(null);
            }}
          />
        )}
        {panel === "clock" && <FileClock file={file} />}
        {panel === "reading" && <FileReading file={file} />}
        {panel === "replace" && <ReplaceFile trial={trial} file={file} onDone={() => onPanel(null)} />}
      </div>
      <ReplacedFiles trial={trial} file={file} />
      <ReasonDialog
        opened={removing}
        onClose={() => setRemoving(false)}
        title={`Remove ${file.name}`}
        explanation={
          <p>
            The file and the traces read from it leave the trial
            {file.replaced.length > 0 && ", and so do the files whose place it has taken"}. The audit trail
            keeps its hash and the reason.
          </p>
        }
        confirmLabel="Remove"
        maxLength={500}
        stops
        onConfirm={async (reason) => {
          await remove.mutateAsync({
            studyId,
            sourceFileId: file.sourceFileId,
            revision: file.revision,
            reason,
          });
          await refresh();
        }}
      />
    </article>
  );
}

function panelLabel(panel: FilePanel, file: SourceFileOfTrial): string {
  if (panel === "column map" && file.state !== "read") return "Column map: read this file";
  return panelNames[panel];
}

function factsOf(file: SourceFileOfTrial): string[] {
  const { rows, span } = file;
  const count = (value: number) => value.toLocaleString("en-GB").replaceAll(",", "\u202f");
  const tenth = (value: number) => Math.round(value * 10) / 10;
  return [
    formatBytes(file.sizeBytes),
    ...(rows === null
      ? []
      : [
          rows.notUsed === 0
            ? `${count(rows.used)} rows`
            : `${count(rows.used)} of ${count(rows.used + rows.notUsed)} rows`,
        ]),
    ...(span === null ? [] : [`${tenth(span.fromS)} to ${tenth(span.toS)} s`]),
  ];
}

/** What was not read stands beside the file, not behind a fold, unless it is long. */
function Losses({ losses }: { readonly losses: readonly string[] }) {
  const shown = losses.slice(0, 3);
  const rest = losses.slice(3);
  if (losses.length === 0) return null;
  return (
    <>
      <ul className={classes.losses}>
        {shown.map((loss) => (
          <li key={loss}>{loss}</li>
        ))}
      </ul>
      {rest.length > 0 && (
        <Disclosure summary={`${rest.length} more of this kind`}>
          <ul className={classes.losses}>
            {rest.map((loss) => (
              <li key={loss}>{loss}</li>
            ))}
          </ul>
        </Disclosure>
      )}
    </>
  );
}
