"use client";

import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { EmptyState } from "@/components/empty-state";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { useStudy } from "@/features/study/study-context";
import { TrialSections } from "@/features/trial/trial-sections";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import classes from "./column-map.module.css";
import { KeptMap } from "./kept-map";

/** The column maps that the study keeps: what each reads, which files were read by it, and which otherwise. */
export function ColumnMapsScreen() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const list = useQuery(trpc.columnMap.list.queryOptions({ studyId }));
  const [opened, setOpened] = useState<string | null>(null);
  return (
    <>
      <PageHeader
        title="Column maps"
        summary="How each layout of source files is read. A map is kept when a file is read, and proposed for the next file of the same layout. It is corrected at a file: open the file in its trial, and read it again."
      />
      <TrialSections />
      {list.isPending && <LoadingState label="Reading the column maps" lines={4} />}
      {list.isError && (
        <QueryError error={list.error} what="the column maps" onRetry={() => list.refetch()} />
      )}
      {list.isSuccess &&
        (list.data.rows.length === 0 ? (
          <EmptyState title="No column map is kept yet.">
            Upload a source file in a trial and read it: its column map is then kept here for the next file of
            that layout.
          </EmptyState>
        ) : (
          <ul className={classes.maps} aria-label="Column maps">
            {list.data.rows.map((map) => (
              <KeptMap
                key={map.columnMapId}
                map={map}
                opened={opened === map.columnMapId}
                onToggle={() => setOpened(opened === map.columnMapId ? null : map.columnMapId)}
              />
            ))}
          </ul>
        ))}
    </>
  );
}
