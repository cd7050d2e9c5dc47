"use client";

import { Button } from "@mantine/core";
import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { Disclosure } from "@/components/disclosure";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import classes from "./source-file.module.css";
import type { SourceFileOfTrial } from "./source-file-row";

/** Where a file comes from, what was read of it, and every row that was not. */
export function FileReading({ file }: { readonly file: SourceFileOfTrial }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const [all, setAll] = useState(false);
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
  const place = report?.places ?? "line";
  const lacking = report?.missingValues.filter((column) => column.missing > 0) ?? [];
  return (
    <div className={`${classes.editor} ${classes.words}`}>
      <p className={classes.hash}>SHA-256 {data.sha256}</p>
      <p>
        {data.sizeBytes} bytes, uploaded by {data.uploadedBy} on {formatMoment(data.uploadedAt)}.
        {data.readerVersion !== null && ` Read by reader ${data.readerVersion}.`}
        {data.startedAt !== null && ` The file says that it began at ${data.startedAt}.`}
      </p>
      {report === null ? (
        <p>Nothing has been read of it yet.</p>
      ) : (
        <>
          <p>
            {report.rowsUsed} of {report.rowsRead} rows were used
            {data.stepS === null ? ", at uneven times." : `, one every ${data.stepS} s.`}
          </p>
          {report.rowsNotUsed.length > 0 && (
            <section aria-label="Rows that were not used">
              <h4 className={classes.part}>Rows that were not used</h4>
              {all ? (
                <EveryRow sourceFileId={file.sourceFileId} place={place} />
              ) : (
                <>
                  <ul className={classes.lines}>
                    {report.rowsNotUsed.map(({ reason, count, lines }) => (
                      <li key={reason}>
                        <span className="numbers">{count}</span>, {reason}: {place}{" "}
                        {lines.slice(0, 8).join(", ")}
                        {count > 8 && " and more"}
                      </li>
                    ))}
                  </ul>
                  <Button size="compact-sm" onClick={() => setAll(true)}>
                    List every {place}
                  </Button>
                </>
              )}
            </section>
          )}
          {report.warnings.map((warning) => (
            <p key={warning.kind}>
              {warning.message} ({place} {warning.lines.slice(0, 8).join(", ")})
            </p>
          ))}
          {lacking.length > 0 && (
            <Disclosure summary={`Missing values in ${lacking.length} columns`}>
              <ul>
                {lacking.map((column) => (
                  <li key={`${column.column} ${column.name}`}>
                    {column.name}: {column.missing} missing
                    {column.unreadableCells.length > 0 &&
                      `; no number in ${place} ${column.unreadableCells
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

/** Every line that was not used, by reason, as stretches: the file is read again for it. */
function EveryRow({
  sourceFileId,
  place,
}: {
  readonly sourceFileId: string;
  readonly place: "line" | "row";
}) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const rows = useQuery(trpc.sourceFile.rowsNotUsed.queryOptions({ studyId, sourceFileId }));
  if (rows.isPending) return <LoadingState label="Reading the file again" lines={2} />;
  if (rows.isError) {
    return (
      <QueryError error={rows.error} what="the rows that were not used" onRetry={() => rows.refetch()} />
    );
  }
  return (
    <ul className={classes.lines}>
      {rows.data.reasons.map(({ reason, count, stretches, notListed }) => (
        <li key={reason}>
          <span className="numbers">{count}</span>, {reason}: {place}{" "}
          <span className={`numbers ${classes.everyLine}`}>
            {stretches.map(([from, to]) => (from === to ? from : `${from}–${to}`)).join(", ")}
          </span>
          {notListed > 0 && ` and ${notListed} further ${place}s, which are too many to list`}
        </li>
      ))}
    </ul>
  );
}
