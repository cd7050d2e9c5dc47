"use client";

import { useQuery } from "@tanstack/react-query";
import { Caution } from "@/components/caution";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";

/** What whoever runs the trial has to know of the volunteer's wishes; nothing when there are none. */
export function PreferencesForTrial({ volunteerId }: { readonly volunteerId: string }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const stated = useQuery(trpc.preference.ofVolunteer.queryOptions({ studyId, volunteerId }));
  if (stated.isError) {
    return (
      <QueryError error={stated.error} what="what the volunteer prefers" onRetry={() => stated.refetch()} />
    );
  }
  if (stated.data === undefined || stated.data.inWords.length === 0) return null;
  return (
    <Caution>
      <p>
        <strong>The volunteer prefers</strong> (
        <TextLink href={`/studies/${studyId}/volunteers/${volunteerId}`}>change</TextLink>):
      </p>
      <ul>
        {stated.data.inWords.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </Caution>
  );
}
