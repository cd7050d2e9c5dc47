"use client";

import { Button, Checkbox } from "@mantine/core";
import { useMutation, useQuery } from "@tanstack/react-query";
import { useRef, useState } from "react";
import { LoadingState } from "@/components/loading-state";
import stackedTable from "@/components/stacked-table.module.css";
import { StateBadge } from "@/components/state-badge";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import classes from "./source-file.module.css";

type FileOfMap = Outputs["columnMap"]["files"]["files"][number];

/** How reading one file again went. */
type Result =
  | { readonly kind: "identical" }
  | { readonly kind: "changed"; readonly series: readonly string[] }
  | { readonly kind: "refused"; readonly message: string };

/** The files of a layout: which of them were read otherwise, what would change, and reading them again one by one. */
export function ReadAgain({ columnMapId }: { readonly columnMapId: string }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const list = useQuery(trpc.columnMap.files.queryOptions({ studyId, columnMapId }));
  const readAgain = useMutation(trpc.columnMap.readAgain.mutationOptions());
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set());
  const [results, setResults] = useState<ReadonlyMap<string, Result>>(new Map());
  const [at, setAt] = useState<{ readonly done: number; readonly of: number } | null>(null);
  const stopped = useRef(false);
  if (list.isPending) return <LoadingState label="Looking at the files of this layout" lines={3} />;
  if (list.isError) {
    return <QueryError error={list.error} what="the files of this layout" onRetry={() => list.refetch()} />;
  }
  const { files } = list.data;
  const wanted = files.filter(
    (file) => file.reading === "otherwise" && file.blocked === null && !left.has(file.sourceFileId),
  );
  const run = async () => {
    stopped.current = false;
    for (const [done, file] of wanted.entries()) {
      if (stopped.current) break;
      setAt({ done, of: wanted.length });
      const result = await readAgain
        .mutateAsync({ studyId, sourceFileId: file.sourceFileId, revision: file.revision })
        .then(
          ({ identical, changed }): Result =>
            identical ? { kind: "identical" } : { kind: "changed", series: changed },
          (error: unknown): Result => ({ kind: "refused", message: failureOf(error).message }),
        );
      setResults((known) => new Map(known).set(file.sourceFileId, result));
    }
    setAt(null);
    await refresh();
  };
  const otherwise = files.filter(({ reading }) => reading === "otherwise").length;
  return (
    <div className={classes.words}>
      <p>
        {otherwise === 0
          ? "Every file of this layout that was read was read by this map."
          : `${otherwise} of ${files.length} files of this layout would be read otherwise by the map as it is now. Accepted trials are left as they are until they are reopened.`}
      </p>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard */}
      <section className={classes.scroll} aria-label="Files of this layout" tabIndex={0}>
        <table className={`${classes.table} ${stackedTable.stacked}`}>
          <thead>
            <tr>
              <th scope="col">File</th>
              <th scope="col">Trial</th>
              <th scope="col">Read</th>
              <th scope="col">What would change</th>
            </tr>
          </thead>
          <tbody>
            {files.map((file) => (
              <tr key={file.sourceFileId}>
                <th scope="row">
                  {file.reading === "otherwise" && file.blocked === null && may("columnMap.readAgain") ? (
                    <Checkbox
                      label={file.name}
                      checked={!left.has(file.sourceFileId)}
                      disabled={at !== null}
                      onChange={(event) => {
                        const next = new Set(left);
                        if (event.currentTarget.checked) next.delete(file.sourceFileId);
                        else next.add(file.sourceFileId);
                        setLeft(next);
                      }}
                    />
                  ) : (
                    file.name
                  )}
                </th>
                <td>
                  <TextLink href={`/studies/${studyId}/trials/${file.trialId}`}>{file.trialLabel}</TextLink>
                </td>
                <td>
                  <Standing file={file} />
                </td>
                <td data-whole-line>
                  <Changes file={file} result={results.get(file.sourceFileId)} />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      {may("columnMap.readAgain") && (
        <div className={classes.tools}>
          {at === null ? (
            wanted.length > 0 && (
              <Button variant="filled" onClick={() => void run()}>
                Read {wanted.length === 1 ? "1 file" : `${wanted.length} files`} again
              </Button>
            )
          ) : (
            <>
              <span role="status">
                Reading file {at.done + 1} of {at.of} …
              </span>
              <Button
                onClick={() => {
                  stopped.current = true;
                }}
              >
                Stop after this file
              </Button>
            </>
          )}
        </div>
      )}
    </div>
  );
}

function Standing({ file }: { readonly file: FileOfMap }) {
  switch (file.reading) {
    case "by this map":
      return <StateBadge shape="tick">by this map</StateBadge>;
    case "otherwise":
      return <StateBadge shape="half">by an earlier map</StateBadge>;
    case "not read":
      return <StateBadge shape="open">not read yet</StateBadge>;
  }
}

function Changes({ file, result }: { readonly file: FileOfMap; readonly result: Result | undefined }) {
  return (
    <>
      {result !== undefined && <p role="status">{wordsOf(result)}</p>}
      {file.changes.length > 0 && (
        <ul className={classes.lines}>
          {file.changes.map((change) => (
            <li key={change}>{change}</li>
          ))}
        </ul>
      )}
      {file.reading === "otherwise" && file.blocked !== null && <p>Left as it is. {file.blocked}</p>}
    </>
  );
}

function wordsOf(result: Result): string {
  switch (result.kind) {
    case "identical":
      return "Read again: the same traces, bit for bit.";
    case "changed":
      return result.series.length === 0
        ? "Read again: its times changed."
        : `Read again; changed: ${result.series.join(", ")}.`;
    case "refused":
      return `Not read again, and left as it was. ${result.message}`;
  }
}
