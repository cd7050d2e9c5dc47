"use client";

import { useQuery } from "@tanstack/react-query";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { StateBadge } from "@/components/state-badge";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { ProtocolDraft } from "./protocol-draft";
import { ProtocolView } from "./protocol-view";
import { versionStates } from "./words";

/** One version: a draft to write, or what was in force to read. */
export function ProtocolVersionScreen({ protocolId }: { readonly protocolId: string }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  // A draft that is open for writing is not exchanged under the hands: saving tells whether somebody else was faster.
  const version = useQuery(
    trpc.protocol.get.queryOptions({ studyId, protocolId }, { refetchOnWindowFocus: false, staleTime: 0 }),
  );
  if (version.isPending) return <LoadingState label="Reading the version" />;
  if (version.isError) {
    return <QueryError error={version.error} what="this version" onRetry={() => version.refetch()} />;
  }
  const { data } = version;
  const since =
    data.state === "retired" && data.retiredAt !== null
      ? `, in force until ${formatMoment(data.retiredAt)}`
      : data.inForceAt === null
        ? ""
        : ` since ${formatMoment(data.inForceAt)}`;
  return (
    <>
      <PageHeader
        title={`Protocol version ${data.version}`}
        trail={[{ label: "Protocol", href: `/studies/${studyId}/protocol` }]}
        summary={
          <StateBadge
            shape={versionStates[data.state].shape}
          >{`${versionStates[data.state].name}${since}`}</StateBadge>
        }
      />
      {data.state === "draft" && may("protocol.saveDraft") ? (
        <ProtocolDraft key={data.protocolId} version={data} />
      ) : (
        <ProtocolView content={data.content} reportingItems={data.reportingItems} />
      )}
    </>
  );
}
