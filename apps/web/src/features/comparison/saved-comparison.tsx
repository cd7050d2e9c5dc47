"use client";

import { useQuery } from "@tanstack/react-query";
import { LoadingState } from "@/components/loading-state";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { ComparisonScreen } from "./comparison-screen";

export function SavedComparison({ comparisonId }: { readonly comparisonId: string }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const outcomes = useQuery(trpc.comparison.outcomes.queryOptions({ studyId }));
  const comparison = useQuery(trpc.comparison.get.queryOptions({ studyId, comparisonId }));
  if (outcomes.isError) {
    return <QueryError error={outcomes.error} what="the outcomes" onRetry={() => outcomes.refetch()} />;
  }
  if (comparison.isError) {
    return <QueryError error={comparison.error} what="the comparison" onRetry={() => comparison.refetch()} />;
  }
  if (outcomes.isPending || comparison.isPending)
    return <LoadingState label="Reading the comparison" lines={8} />;
  const { data } = comparison;
  return (
    <ComparisonScreen key={data.comparisonId} outcomes={outcomes.data} began={data.settings} saved={data} />
  );
}
