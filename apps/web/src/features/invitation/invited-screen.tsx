"use client";

import { useQuery } from "@tanstack/react-query";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { LinkRefused } from "@/features/for-you/link-refused";
import { PreferenceForm } from "@/features/preference/preference-form";
import { useTRPCClient } from "@/trpc/client";
import { InvitationText } from "./invitation-text";

/** Somebody who was invited reads in peace, and may say what they prefer. Nothing here agrees to anything. */
export function InvitedScreen({ token }: { readonly token: string }) {
  const client = useTRPCClient();
  const read = useQuery({
    queryKey: ["for you", "invitation", token],
    queryFn: () => client.forYou.invitation.mutate({ token }),
    retry: false,
    refetchOnWindowFocus: false,
    refetchOnReconnect: false,
    staleTime: Number.POSITIVE_INFINITY,
    gcTime: 0,
  });
  if (read.isPending) return <LoadingState label="Opening the invitation" />;
  if (read.isError) return <LinkRefused error={read.error} onRetry={() => read.refetch()} />;
  const { studyTitle, code, texts, changedAt, preferences } = read.data;
  return (
    <>
      <PageHeader
        title="Invitation to take part"
        summary={`Your code is ${code}, in the study: ${studyTitle}`}
      />
      <p>Reading this agrees to nothing. You may close the page, and nobody asks why.</p>
      <InvitationText texts={texts} changedAt={changedAt} />
      <SectionHeading explanation="If you take part. Whoever runs the trials sees it. You can change it here as often as you like; write no name.">
        What you prefer
      </SectionHeading>
      <PreferenceForm
        began={preferences}
        onSave={(stated) => client.forYou.statePreferences.mutate({ token, ...stated })}
      />
    </>
  );
}
