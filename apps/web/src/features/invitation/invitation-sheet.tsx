"use client";

import { Button, Group } from "@mantine/core";
import { useQuery } from "@tanstack/react-query";
import { ButtonLink } from "@/components/button-link";
import { EmptyState } from "@/components/empty-state";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { InvitationText } from "./invitation-text";

/** The invitation alone, without the frame of the study: to be printed and handed out. */
export function InvitationSheet({ studyId }: { readonly studyId: string }) {
  const trpc = useTRPC();
  const invitation = useQuery(trpc.invitationText.get.queryOptions({ studyId }));
  if (invitation.isPending) return <LoadingState label="Reading the invitation" />;
  if (invitation.isError) {
    return <QueryError error={invitation.error} what="the invitation" onRetry={() => invitation.refetch()} />;
  }
  const { texts, changedAt, studyTitle, stillOpen } = invitation.data;
  const back = `/studies/${studyId}/invitation`;
  return (
    <>
      <Group gap="sm" mt="md" data-screen-only>
        <ButtonLink href={back}>Back to the study</ButtonLink>
        {texts !== null && <Button onClick={() => window.print()}>Print</Button>}
        {stillOpen.length > 0 && <span>There are still places in [[double brackets]] to fill in.</span>}
      </Group>
      <PageHeader title="Invitation to take part" summary={studyTitle} />
      {texts === null ? (
        <EmptyState title="No invitation is written yet.">
          A lead investigator writes it in the study.
        </EmptyState>
      ) : (
        <InvitationText texts={texts} changedAt={changedAt} />
      )}
    </>
  );
}
