"use client";

import { Button } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { EmptyState } from "@/components/empty-state";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { ReasonDialog } from "@/components/reason-dialog";
import { SectionHeading } from "@/components/section-heading";
import stackedTable from "@/components/stacked-table.module.css";
import { TextLink } from "@/components/text-link";
import { VolunteerSections } from "@/features/consent/volunteer-sections";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import classes from "./retention.module.css";
import { RetentionForm } from "./retention-form";
import { partNames } from "./words";

type Due = Outputs["retention"]["due"]["due"][number];

/** How long the study keeps what, and what is due to be removed by somebody. */
export function RetentionScreen() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const retention = useQuery(trpc.retention.due.queryOptions({ studyId }));
  return (
    <>
      <PageHeader
        title="Retention"
        summary="How long this study keeps what of its volunteers. Nothing is removed by itself: this list says what is due, and somebody removes it."
      />
      <VolunteerSections />
      {retention.isPending ? (
        <LoadingState label="Reading what is due" />
      ) : retention.isError ? (
        <QueryError error={retention.error} what="what is due" onRetry={() => retention.refetch()} />
      ) : (
        <>
          <DueList retention={retention.data} />
          <RetentionForm key={retention.data.plan.revision} plan={retention.data.plan} />
        </>
      )}
    </>
  );
}

function DueList({ retention }: { readonly retention: Outputs["retention"]["due"] }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const [asked, setAsked] = useState<Due | null>(null);
  const remove = useMutation(trpc.retention.remove.mutationOptions());
  const { due, next } = retention;
  return (
    <section aria-labelledby="due">
      <SectionHeading id="due">Due</SectionHeading>
      {due.length === 0 ? (
        <EmptyState title="Nothing is due.">
          {next === null
            ? "No date follows from what is entered below."
            : `Next: the ${partNames[next.part]} of ${next.code} on ${next.on}.`}
        </EmptyState>
      ) : (
        <table className={`${stackedTable.stacked} ${classes.table}`}>
          <thead>
            <tr>
              <th scope="col">Volunteer</th>
              <th scope="col">What</th>
              <th scope="col">Due since</th>
              <th scope="col">Because of</th>
              {may("retention.remove") && <th scope="col">Action</th>}
            </tr>
          </thead>
          <tbody>
            {due.map((row) => (
              <tr key={`${row.volunteerId} ${row.part}`}>
                <td data-label="Volunteer">
                  <TextLink href={`/studies/${studyId}/volunteers/${row.volunteerId}`}>{row.code}</TextLink>
                </td>
                <td data-label="What">{partNames[row.part]}</td>
                <td data-label="Due since">{row.on}</td>
                <td data-label="Because of">the {row.because}</td>
                {may("retention.remove") && (
                  <td data-label="Action">
                    <Button
                      size="compact-sm"
                      aria-label={`Remove the ${partNames[row.part]} of ${row.code}`}
                      onClick={() => setAsked(row)}
                    >
                      Remove
                    </Button>
                  </td>
                )}
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <ReasonDialog
        opened={asked !== null}
        onClose={() => setAsked(null)}
        title={asked === null ? "" : `Remove the ${partNames[asked.part]} of ${asked.code}?`}
        explanation={
          asked?.part === "recordings"
            ? "Files, traces, findings and measures of all trials go for good; the trials stay, set aside. Releases that were made keep their data."
            : "It goes for good, and cannot be brought back. The rest of the volunteer's data stays."
        }
        reasonLabel="Why it is removed now"
        confirmLabel="Remove for good"
        maxLength={500}
        stops
        onConfirm={async (reason) => {
          if (asked === null) return;
          await remove.mutateAsync({ studyId, volunteerId: asked.volunteerId, part: asked.part, reason });
          await queries.invalidateQueries();
        }}
      />
    </section>
  );
}
