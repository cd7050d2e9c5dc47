"use client";

import { Button } from "@mantine/core";
import { useQuery, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC, useTRPCClient } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { PreferenceForm } from "./preference-form";

/** What this volunteer prefers; whoever runs a trial sees it there as well. */
export function PreferenceSection({ volunteerId }: { readonly volunteerId: string }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const client = useTRPCClient();
  const queries = useQueryClient();
  const [editing, setEditing] = useState(false);
  const stated = useQuery(trpc.preference.ofVolunteer.queryOptions({ studyId, volunteerId }));
  if (stated.isPending) return <LoadingState label="Reading what the volunteer prefers" />;
  if (stated.isError) {
    return <QueryError error={stated.error} what="the preferences" onRetry={() => stated.refetch()} />;
  }
  const { data } = stated;
  return (
    <section aria-labelledby="preferences">
      <SectionHeading
        id="preferences"
        explanation="Shown on every trial of this volunteer."
        {...(may("preference.save") && !editing
          ? { actions: <Button onClick={() => setEditing(true)}>Change preferences</Button> }
          : {})}
      >
        Preferences
      </SectionHeading>
      {editing ? (
        <PreferenceForm
          began={data}
          onSave={async (input) => {
            const answer = await client.preference.save.mutate({ studyId, volunteerId, ...input });
            await queries.invalidateQueries({ queryKey: trpc.preference.pathKey() });
            return answer;
          }}
          onDone={() => setEditing(false)}
        />
      ) : (
        <>
          {data.inWords.length === 0 ? (
            <p>None stated.</p>
          ) : (
            <ul>
              {data.inWords.map((sentence) => (
                <li key={sentence}>{sentence}</li>
              ))}
            </ul>
          )}
          {data.changedAt !== null && (
            <p>
              Last changed {formatMoment(data.changedAt)} by {data.changedBy}.
            </p>
          )}
        </>
      )}
    </section>
  );
}
