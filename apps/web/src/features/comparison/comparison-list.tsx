"use client";

import { useQuery } from "@tanstack/react-query";
import { ButtonLink } from "@/components/button-link";
import { EmptyState } from "@/components/empty-state";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import classes from "./comparison.module.css";
import { outcomeLabel } from "./outcome-label";

export function ComparisonList() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const list = useQuery(trpc.comparison.list.queryOptions({ studyId }));
  const base = `/studies/${studyId}/comparisons`;
  const create = may("comparison.save") ? (
    <ButtonLink href={`${base}/new`} variant="filled">
      New comparison
    </ButtonLink>
  ) : undefined;

  if (list.isPending) return <LoadingState label="Reading the comparisons" />;
  if (list.isError) {
    return <QueryError error={list.error} what="the comparisons" onRetry={() => list.refetch()} />;
  }
  return (
    <>
      <PageHeader
        title="Comparisons"
        summary="Saved cohort questions and their answers, from accepted trials."
        {...(list.data.length > 0 && create !== undefined ? { actions: create } : {})}
      />
      {list.data.length === 0 ? (
        <EmptyState title="No comparison is saved yet." {...(create === undefined ? {} : { action: create })}>
          A comparison asks how one outcome differs between two conditions. It needs a protocol in force and
          accepted trials; trials that are missing are listed with their reasons.
        </EmptyState>
      ) : (
        <ul className={classes.list}>
          {list.data.map((comparison) => (
            <li key={comparison.comparisonId}>
              <TextLink href={`${base}/${comparison.comparisonId}`}>{comparison.name}</TextLink>
              <span>{outcomeLabel(comparison.settings.outcome)}</span>
              <span className={classes.quiet}>
                {comparison.answeredAt === null
                  ? "not answered"
                  : `answered ${formatMoment(comparison.answeredAt)}`}
              </span>
            </li>
          ))}
        </ul>
      )}
    </>
  );
}
