"use client";

import { useQuery } from "@tanstack/react-query";
import { DownloadButton } from "@/components/download-button";
import { EmptyState } from "@/components/empty-state";
import { formatBytes } from "@/components/format-bytes";
import { formatMoment } from "@/components/format-moment";
import { KeyValueList } from "@/components/key-value-list";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { StateBadge } from "@/components/state-badge";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { MakeRelease } from "./make-release";

export function ReleaseList() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const releases = useQuery(trpc.release.list.queryOptions({ studyId }));
  if (releases.isPending) return <LoadingState label="Reading the register of releases" />;
  if (releases.isError) {
    return <QueryError error={releases.error} what="the releases" onRetry={() => releases.refetch()} />;
  }
  return (
    <>
      <PageHeader
        title="Releases"
        summary="Anonymised datasets as they were handed out. A release never changes; a change is the next release."
      />
      {may("release.make") && <MakeRelease />}
      <section>
        <SectionHeading>Register</SectionHeading>
        {releases.data.length === 0 ? (
          <EmptyState title="Nothing has been released yet.">
            {may("release.make")
              ? "Assess a release above: it shows what would be coarsened and who would be left out before anything is written."
              : "A lead investigator makes releases; they are listed here."}
          </EmptyState>
        ) : (
          releases.data.map((release) => (
            <article key={release.releaseId} aria-label={`Release ${release.number}`}>
              <SectionHeading
                level={3}
                actions={
                  may("release.download") ? (
                    <DownloadButton
                      href={`/api/studies/${studyId}/releases/${release.releaseId}`}
                      note={`ZIP, ${formatBytes(release.sizeBytes)}`}
                    >
                      Download release {release.number}
                    </DownloadButton>
                  ) : undefined
                }
              >
                Release {release.number}
              </SectionHeading>
              {release.withdrawnSince.length > 0 && (
                <p>
                  <StateBadge shape="alert">
                    Holds data of {release.withdrawnSince.join(", ")}, who took the permission back since. The
                    next release leaves them out; ask holders of this one to stop using it.
                  </StateBadge>
                </p>
              )}
              <KeyValueList
                columns={2}
                items={[
                  { label: "Made", value: formatMoment(release.madeAt) },
                  { label: "Reason", value: release.reason },
                  {
                    label: "Volunteers",
                    value: `${release.report.volunteers.released} of ${release.report.volunteers.offered} who permit it`,
                  },
                  { label: "Trials", value: release.report.trials.released },
                  {
                    label: "Smallest group",
                    value: release.report.smallestGroup ?? "–",
                    note: `At least ${release.rule.k} volunteers share each combination of body data.`,
                  },
                  {
                    label: "Body data",
                    value: release.report.columns
                      .map(({ column, words }) => `${column}: ${words}`)
                      .join("; "),
                  },
                  { label: "Licence", value: release.rule.licence },
                  ...(release.report.auditHead === null
                    ? []
                    : [
                        {
                          label: "Audit trail up to",
                          value: <code style={{ overflowWrap: "anywhere" }}>{release.report.auditHead}</code>,
                        },
                      ]),
                  {
                    label: "SHA-256",
                    value: <code style={{ overflowWrap: "anywhere" }}>{release.sha256}</code>,
                  },
                ]}
              />
            </article>
          ))
        )}
      </section>
    </>
  );
}
