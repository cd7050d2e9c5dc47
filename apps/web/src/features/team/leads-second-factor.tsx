"use client";

import { Button, Text } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { LoadingState } from "@/components/loading-state";
import { SectionHeading } from "@/components/section-heading";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";

/** Whether the study asks its lead investigators for a second factor. */
export function LeadsSecondFactor() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const study = useQuery(trpc.study.get.queryOptions({ studyId }));
  const require = useMutation(trpc.study.requireSecondFactor.mutationOptions());
  const [asking, setAsking] = useState(false);
  return (
    <section aria-labelledby="leads-second-factor">
      <SectionHeading id="leads-second-factor">Second factor of lead investigators</SectionHeading>
      {study.isError ? (
        <QueryError error={study.error} what="what the study asks for" onRetry={() => study.refetch()} />
      ) : study.data === undefined ? (
        <LoadingState label="Reading what the study asks for" />
      ) : (
        <>
          <Text mb="sm">
            {study.data.leadsNeedSecondFactor
              ? "Asked for: a lead investigator without one can look at the study as an observer can, until they set one up."
              : "Not asked for: lead investigators may sign in by their password alone."}{" "}
            It is set up on the page <TextLink href="/account">Your account</TextLink>.
          </Text>
          {may("study.requireSecondFactor") && (
            <Button onClick={() => setAsking(true)}>
              {study.data.leadsNeedSecondFactor ? "Ask for it no more" : "Ask for a second factor"}
            </Button>
          )}
          <ConfirmDialog
            opened={asking}
            onClose={() => setAsking(false)}
            title={
              study.data.leadsNeedSecondFactor
                ? "Ask lead investigators for a second factor no more?"
                : "Ask lead investigators for a second factor?"
            }
            confirmLabel={study.data.leadsNeedSecondFactor ? "Ask no more" : "Ask for it"}
            onConfirm={async () => {
              await require.mutateAsync({ studyId, required: !study.data.leadsNeedSecondFactor });
              await queries.invalidateQueries({ queryKey: trpc.study.pathKey() });
            }}
          >
            {study.data.leadsNeedSecondFactor
              ? "All lead investigators can do everything again by their password alone."
              : "It is in force at once: whoever leads this study without one can only look until they set it up."}
          </ConfirmDialog>
        </>
      )}
    </section>
  );
}
