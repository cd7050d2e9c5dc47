"use client";

import { useQuery } from "@tanstack/react-query";
import { ButtonLink } from "@/components/button-link";
import { EmptyState } from "@/components/empty-state";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { QueryError } from "@/trpc/query-error";
import { ComparisonScreen } from "./comparison-screen";
import { firstSettings } from "./settings";

export function NewComparison() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const outcomes = useQuery(trpc.comparison.outcomes.queryOptions({ studyId }));
  if (outcomes.isPending) return <LoadingState label="Reading the protocol" />;
  const header = (
    <PageHeader
      title="New comparison"
      trail={[{ label: "Comparisons", href: `/studies/${studyId}/comparisons` }]}
    />
  );
  const toProtocol = <ButtonLink href={`/studies/${studyId}/protocol`}>Open the protocol</ButtonLink>;
  if (outcomes.isError && failureOf(outcomes.error).code === "wrong-state") {
    return (
      <>
        {header}
        <EmptyState title="No protocol is in force yet." action={toProtocol}>
          A comparison takes its regions and conditions from the protocol in force. Put one in force first.
        </EmptyState>
      </>
    );
  }
  if (outcomes.isError) {
    return <QueryError error={outcomes.error} what="the outcomes" onRetry={() => outcomes.refetch()} />;
  }
  const began = firstSettings(outcomes.data);
  if (began === null) {
    return (
      <>
        {header}
        <EmptyState title="There is only one condition." action={toProtocol}>
          A comparison needs two conditions in the protocol in force. A change of the protocol is a new
          version.
        </EmptyState>
      </>
    );
  }
  return <ComparisonScreen outcomes={outcomes.data} began={began} saved={null} />;
}
