"use client";

import { Button, Text } from "@mantine/core";
import { useMutation, useQuery } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { Disclosure } from "@/components/disclosure";
import { DownloadButton } from "@/components/download-button";
import { formatBytes } from "@/components/format-bytes";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { NumberField } from "@/components/number-field";
import { ReasonDialog } from "@/components/reason-dialog";
import { StateBadge } from "@/components/state-badge";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { canEdit, type Trial } from "@/features/trial/trial-words";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { QueryError } from "@/trpc/query-error";
import { ColumnMapEditor } from "./column-map-editor";
import classes from "./source-file.module.css";

type File = Trial["sourceFiles"][number];

interface SourceFileRowProps {
  readonly trial: Trial;
  readonly file: File;
  readonly opened: boolean;
  readonly onToggle: () => void;
  readonly onRead: () => void;
}

export function SourceFileRow({ trial, file, opened, onToggle, onRead }: SourceFileRowProps) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const [removing, setRemoving] = useState(false);
  const [asked, setAsked] = useState(false);
  const remove = useMutation(trpc.sourceFile.remove.mutationOptions());
  const changeable = canEdit(trial);
  const editorId = `column-map-${file.sourceFileId}`;
  return (
    <article className={classes.file} aria-label={`Source file ${file.name}`}>
      <div className={classes.head}>
        <strong>{file.name}</strong>
        {file.state === "read" ? (
          <StateBadge shape="tick">read, {file.traces} traces</StateBadge>
        ) : (
          <StateBadge shape="open">received, not read yet</StateBadge>
        )}
        <span className={classes.quiet}>{formatBytes(file.sizeBytes)}</span>
        <span className={classes.quiet}>uploaded {formatMoment(file.uploadedAt)}</span>
        {file.span !== null && (
          <span className={classes.quiet}>
            {Math.round(file.span.fromS * 10) / 10} to {Math.round(file.span.toS * 10) / 10} s
          </span>
        )}
      </div>
      {file.losses.length > 0 && (
        <ul className={classes.losses}>
          {file.losses.map((loss) => (
            <li key={loss}>{loss}</li>
          ))}
        </ul>
      )}
      <div className={classes.row}>
        {changeable && may("sourceFile.read") && (
          <Button aria-expanded={opened} aria-controls={editorId} onClick={onToggle}>
            {opened
              ? "Close the column map"
              : file.state === "read"
                ? "Column map"
                : "Column map: read this file"}
          </Button>
        )}
        {may("file.download") && trial.consentMissing === null && (
          <DownloadButton
            href={`/api/studies/${studyId}/trials/${trial.trialId}/files/${file.sourceFileId}`}
            fileName={file.name}
          >
            Download
          </DownloadButton>
        )}
        {changeable && may("sourceFile.remove") && (
          <Button variant="subtle" onClick={() => setRemoving(true)}>
            Remove
          </Button>
        )}
      </div>
      {changeable && may("sourceFile.setOffset") && file.state === "read" && (
        <OffsetForm key={file.revision} file={file} />
      )}
      <div id={editorId}>
        {opened && <ColumnMapEditor sourceFileId={file.sourceFileId} onRead={onRead} />}
      </div>
      <details
        className={classes.provenance}
        onToggle={(event) => {
          if (event.currentTarget.open) setAsked(true);
        }}
      >
        <summary>Where this file comes from and what was read</summary>
        {asked && <FileProvenance file={file} />}
      </details>
      <ReasonDialog
        opened={removing}
        onClose={() => setRemoving(false)}
        title={`Remove ${file.name}`}
        explanation={
          <p>
            The file and the traces read from it leave the trial. The audit trail keeps its hash and the
            reason.
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

/** Where the file's own zero lies on the trial's clock: zero for the first file. */
function OffsetForm({ file }: { readonly file: File }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const [offsetS, setOffsetS] = useState<number | null>(file.offsetS);
  const save = useMutation(trpc.sourceFile.setOffset.mutationOptions());
  const failure = save.error === null ? null : failureOf(save.error);
  const submit = (event: FormEvent) => {
    event.preventDefault();
    if (offsetS === null) return;
    save.mutate(
      { studyId, sourceFileId: file.sourceFileId, revision: file.revision, offsetS },
      { onSuccess: refresh },
    );
  };
  return (
    <form onSubmit={submit} noValidate className={classes.row}>
      <NumberField
        label="The file's zero, on the trial's clock"
        unit="s"
        digits={3}
        value={offsetS}
        onChange={setOffsetS}
        error={failure?.fields.offsetS}
        width={168}
      />
      {offsetS !== file.offsetS && (
        <Button type="submit" loading={save.isPending} disabled={offsetS === null}>
          Move the file
        </Button>
      )}
      {failure !== null && failure.fields.offsetS === undefined && (
        <Text role="alert" c="var(--mantine-color-error)">
          {failure.message}
        </Text>
      )}
    </form>
  );
}

function FileProvenance({ file }: { readonly file: File }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const provenance = useQuery(
    trpc.sourceFile.provenance.queryOptions({ studyId, sourceFileId: file.sourceFileId }),
  );
  if (provenance.isPending) return <LoadingState label="Reading" lines={2} />;
  if (provenance.isError) {
    return (
      <QueryError
        error={provenance.error}
        what="where the file comes from"
        onRetry={() => provenance.refetch()}
      />
    );
  }
  const { data } = provenance;
  const { report } = data;
  const lacking = report?.missingValues.filter((column) => column.missing > 0) ?? [];
  return (
    <div className={classes.words}>
      <p className={classes.hash}>SHA-256 {data.sha256}</p>
      <p>
        {data.sizeBytes} bytes, uploaded by {data.uploadedBy} on {formatMoment(data.uploadedAt)}.
        {data.readerVersion !== null && ` Read by reader ${data.readerVersion}.`}
        {data.startedAt !== null && ` The file says that it began at ${data.startedAt}.`}
      </p>
      {report !== null && (
        <>
          <p>
            {report.rowsUsed} of {report.rowsRead} rows were used
            {data.stepS === null ? ", at uneven times." : `, one every ${data.stepS} s.`}
          </p>
          {report.rowsNotUsed.length > 0 && (
            <ul>
              {report.rowsNotUsed.map(({ reason, count, lines }) => (
                <li key={reason}>
                  {count} not used, {reason}: line {lines.slice(0, 8).join(", ")}
                  {count > 8 && " and more"}
                </li>
              ))}
            </ul>
          )}
          {report.warnings.map((warning) => (
            <p key={warning.kind}>
              {warning.message} (line {warning.lines.slice(0, 8).join(", ")})
            </p>
          ))}
          {lacking.length > 0 && (
            <Disclosure summary={`Missing values in ${lacking.length} columns`}>
              <ul>
                {lacking.map((column) => (
                  <li key={`${column.column} ${column.name}`}>
                    {column.name}: {column.missing} missing
                    {column.unreadableCells.length > 0 &&
                      `; no number in line ${column.unreadableCells
                        .slice(0, 5)
                        .map(({ line, text }) => `${line} (“${text}”)`)
                        .join(", ")}`}
                  </li>
                ))}
              </ul>
            </Disclosure>
          )}
        </>
      )}
    </div>
  );
}
