"use client";

import { useQuery } from "@tanstack/react-query";
import { ButtonLink } from "@/components/button-link";
import { EmptyState } from "@/components/empty-state";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { VolunteerSections } from "@/features/consent/volunteer-sections";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { InvitationForm } from "./invitation-form";
import { InvitationText } from "./invitation-text";

/** What the study tells those whom it invites. */
export function InvitationScreen() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const invitation = useQuery(
    trpc.invitationText.get.queryOptions({ studyId }, { refetchOnWindowFocus: false, staleTime: 0 }),
  );
  if (invitation.isPending) return <LoadingState label="Reading the invitation" />;
  if (invitation.isError) {
    return <QueryError error={invitation.error} what="the invitation" onRetry={() => invitation.refetch()} />;
  }
  const { data } = invitation;
  return (
    <>
      <PageHeader
        title="Invitation"
        summary={
          data.changedAt === null
            ? "Not written yet."
            : `Last changed ${formatMoment(data.changedAt)} by ${data.changedByName ?? ""}.`
        }
        {...(data.texts === null
          ? {}
          : {
              actions: <ButtonLink href={`/studies/${studyId}/invitation/sheet`}>Page to print</ButtonLink>,
            })}
      />
      <VolunteerSections />
      {may("invitationText.save") ? (
        <InvitationForm invitation={data} />
      ) : data.texts === null ? (
        <EmptyState title="No invitation is written yet.">
          A lead investigator writes it: what will be seen, worn, measured, kept and shown, and how to say no.
        </EmptyState>
      ) : (
        <InvitationText texts={data.texts} changedAt={data.changedAt} />
      )}
    </>
  );
}
