"use client";

import { useQuery } from "@tanstack/react-query";
import { EmptyState } from "@/components/empty-state";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { useTRPCClient } from "@/trpc/client";
import { OwnCopyButton } from "./copy-button";
import classes from "./for-you.module.css";
import { LinkRefused } from "./link-refused";

/** A volunteer's own page: what holds now, what was signed, and the copies. */
export function OwnScreen({ token }: { readonly token: string }) {
  const client = useTRPCClient();
  const own = useQuery({
    queryKey: ["for you", "own", token],
    queryFn: () => client.forYou.own.mutate({ token }),
    retry: false,
    gcTime: 0,
  });
  if (own.isPending) return <LoadingState label="Opening your page" />;
  if (own.isError) return <LinkRefused error={own.error} onRetry={() => own.refetch()} />;
  const { code, studyTitle, permissions, signed } = own.data;
  return (
    <>
      <PageHeader title="Your page" summary={`Your code is ${code}, in the study: ${studyTitle}`} />
      <SectionHeading>What you permit now</SectionHeading>
      {permissions.length === 0 ? (
        <EmptyState title="You have signed nothing yet.">So nothing is permitted.</EmptyState>
      ) : (
        <ul className={classes.list}>
          {permissions.map((item) => (
            <li key={item.key}>
              <strong>{item.allowed ? "Yes" : "No"}</strong>: {item.label}
              {item.reason !== null && <div className={classes.note}>{item.reason}</div>}
            </li>
          ))}
        </ul>
      )}
      <p>
        You can take back any of it at any time, without giving a reason: tell the people of the study, as the
        consent form says.
      </p>
      <SectionHeading>What you have signed</SectionHeading>
      {signed.length === 0 ? (
        <p>Nothing yet.</p>
      ) : (
        <ul className={classes.list}>
          {signed.map((record) => (
            <li key={record.recordId}>
              <p>
                {record.title}, version {record.version}: signed {formatMoment(record.signedAt)},{" "}
                {record.permitted} permitted, {record.refused} refused.
              </p>
              {record.way === "paper" ? (
                <div className={classes.note}>Signed on paper; you have your copy on paper.</div>
              ) : (
                <OwnCopyButton
                  token={token}
                  recordId={record.recordId}
                  fileName={`consent-${code}-version-${record.version}.pdf`}
                />
              )}
            </li>
          ))}
        </ul>
      )}
    </>
  );
}
