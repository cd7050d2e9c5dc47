"use client";

import { Button } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { ButtonLink } from "@/components/button-link";
import { EmptyState } from "@/components/empty-state";
import { ErrorState } from "@/components/error-state";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { QueryError } from "@/trpc/query-error";
import { ProtocolView } from "./protocol-view";
import { VersionTable } from "./version-table";

/** The protocol in force, and every other version. */
export function ProtocolScreen() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const router = useRouter();
  const list = useQuery(trpc.protocol.list.queryOptions({ studyId }));
  const start = useMutation(trpc.protocol.startDraft.mutationOptions());
  const inForce = list.data?.find((version) => version.state === "in_force");
  const draft = list.data?.find((version) => version.state === "draft");
  const shown = useQuery(
    trpc.protocol.get.queryOptions(
      { studyId, protocolId: inForce?.protocolId ?? "" },
      { enabled: inForce !== undefined },
    ),
  );
  const base = `/studies/${studyId}/protocol`;

  if (list.isPending) return <LoadingState label="Reading the protocol" />;
  if (list.isError)
    return <QueryError error={list.error} what="the protocol" onRetry={() => list.refetch()} />;

  const startDraft = () =>
    start.mutate(
      { studyId },
      {
        onSuccess: async ({ protocolId }) => {
          await queries.invalidateQueries({ queryKey: trpc.protocol.pathKey() });
          router.push(`${base}/${protocolId}`);
        },
      },
    );
  const action =
    draft !== undefined ? (
      <ButtonLink href={`${base}/${draft.protocolId}`} variant={inForce === undefined ? "filled" : "default"}>
        {may("protocol.saveDraft") ? "Go on with the draft" : "Read the draft"}
      </ButtonLink>
    ) : may("protocol.startDraft") ? (
      <Button
        variant={inForce === undefined ? "filled" : "default"}
        loading={start.isPending || start.isSuccess}
        onClick={startDraft}
      >
        {inForce === undefined ? "Write the protocol" : "Start a new version"}
      </Button>
    ) : undefined;

  return (
    <>
      <PageHeader
        title="Protocol"
        summary={
          inForce === undefined
            ? "What is done in every trial, under which conditions, and when it is stopped."
            : `Version ${inForce.version}, in force since ${formatMoment(inForce.inForceAt ?? inForce.createdAt)}. It does not change any more; a change is a new version.`
        }
        {...(action !== undefined && inForce !== undefined ? { actions: action } : {})}
      />
      {start.error !== null && (
        <ErrorState
          happened={failureOf(start.error).message}
          kept="No version was changed."
          onRetry={startDraft}
        />
      )}
      {inForce === undefined && (
        <EmptyState
          title={draft === undefined ? "No protocol is written yet." : `Version ${draft.version} is a draft.`}
          {...(action === undefined ? {} : { action })}
        >
          No trial can be planned before a protocol is in force: its phases, conditions, regions to record,
          room limits and stop criteria. {may("protocol.startDraft") ? "" : "A lead investigator writes it."}
        </EmptyState>
      )}
      {inForce !== undefined && shown.isPending && <LoadingState label="Reading the version in force" />}
      {shown.isError && (
        <QueryError error={shown.error} what="the version in force" onRetry={() => shown.refetch()} />
      )}
      {shown.data !== undefined && (
        <ProtocolView content={shown.data.content} reportingItems={shown.data.reportingItems} />
      )}
      {list.data.length > 0 && (
        <section>
          <SectionHeading>Versions</SectionHeading>
          <VersionTable
            label="Versions of the protocol"
            versions={list.data.map((version) => ({ ...version, href: `${base}/${version.protocolId}` }))}
          />
        </section>
      )}
    </>
  );
}
