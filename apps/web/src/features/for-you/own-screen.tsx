"use client";

import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { EmptyState } from "@/components/empty-state";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { useTRPCClient } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { OwnCopyButton } from "./copy-button";
import classes from "./for-you.module.css";
import { LinkRefused } from "./link-refused";
import { OwnDownload } from "./own-download";
import { type Erased, OwnWithdrawal } from "./own-withdrawal";

type Own = Outputs["forYou"]["own"];

/** A volunteer's own page: what holds now, what was signed, what is kept, and taking it back. */
export function OwnScreen({ token }: { readonly token: string }) {
  const client = useTRPCClient();
  const [erased, setErased] = useState<Erased | null>(null);
  const own = useQuery({
    queryKey: ["for you", "own", token],
    queryFn: () => client.forYou.own.mutate({ token }),
    retry: false,
    gcTime: 0,
    // Once everything is erased, the link opens nothing any more.
    enabled: erased === null,
  });
  if (erased !== null) return <Tombstone erased={erased} />;
  if (own.isPending) return <LoadingState label="Opening your page" />;
  if (own.isError) return <LinkRefused error={own.error} onRetry={() => own.refetch()} />;
  const { code, studyTitle, permissions, newerVersion } = own.data;
  const standing = permissions.some((item) => item.allowed || item.storedUse);
  return (
    <>
      <PageHeader title="Your page" summary={`Your code is ${code}, in the study: ${studyTitle}`} />
      <SectionHeading>What you permit now</SectionHeading>
      {permissions.length === 0 ? (
        <EmptyState title="You have signed nothing yet.">So nothing is permitted.</EmptyState>
      ) : (
        <ul className={classes.list} aria-label="What you permit now">
          {permissions.map((item) => (
            <li key={item.key}>
              <strong>{item.allowed ? "Yes" : "No"}</strong>: {item.label}
              {item.reason !== null && (
                <div className={classes.note}>
                  {item.reason} {item.storedUse && "What was stored by then may still be used."}
                </div>
              )}
            </li>
          ))}
        </ul>
      )}
      {newerVersion !== null && (
        <p>
          There is a newer version of the consent form (version {newerVersion}). What you signed counts for
          what it said, and for nothing more. The people of the study can give you a link to read and decide
          on the newer one.
        </p>
      )}
      {standing && (
        <>
          <SectionHeading explanation="At any time, without giving a reason and without any disadvantage. It holds from the moment at which you send it.">
            Take it back
          </SectionHeading>
          <OwnWithdrawal
            token={token}
            own={own.data}
            onWithdrawn={() => own.refetch()}
            onErased={setErased}
          />
        </>
      )}
      <Signed token={token} own={own.data} />
      <SectionHeading explanation="Your name and contact, what you signed, your visits and the files of them, in one archive. Keep it where only you can read it.">
        What is kept about you
      </SectionHeading>
      <OwnDownload
        label="Save everything that is kept (ZIP)"
        fileName={`own-data-${code}.zip`}
        path="/api/for-you/own-data"
        asked={{ token }}
        type="application/zip"
      />
    </>
  );
}

function Signed({ token, own }: { readonly token: string; readonly own: Own }) {
  return (
    <>
      <SectionHeading>What you have signed</SectionHeading>
      {own.signed.length === 0 ? (
        <p>Nothing yet.</p>
      ) : (
        <ul className={classes.list}>
          {own.signed.map((record) => (
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
                  fileName={`consent-${own.code}-version-${record.version}.pdf`}
                />
              )}
            </li>
          ))}
        </ul>
      )}
    </>
  );
}

/** What stays of somebody who had everything erased; shown once, since the link is gone with the rest. */
function Tombstone({ erased }: { readonly erased: Erased }) {
  const { code, releases, erasedAt, bytesGone } = erased;
  return (
    <>
      <PageHeader title="Everything is erased" summary={`Done ${formatMoment(erasedAt)}.`} />
      <p>
        Your name, contact, signatures, visits and files are removed. What stays is the code {code}, so that
        nobody else is given it, and the fact that it was erased.{" "}
        {bytesGone
          ? "The bytes are gone from the server's files, too."
          : "Something still reads the database; the last bytes go within the hour."}
      </p>
      {releases.length > 0 && (
        <p>
          Your numbers stay, without your name, in what was given to others before (release{" "}
          {releases.join(", ")}); that cannot be called back.
        </p>
      )}
      <p>Backups from before hold it until they are overwritten. This link opens nothing any more.</p>
    </>
  );
}
