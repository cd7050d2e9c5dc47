"use client";

import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { LoadingState } from "@/components/loading-state";
import { MarkdownText } from "@/components/markdown-text";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { TextLink } from "@/components/text-link";
import { useTRPCClient } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { OwnCopyButton } from "./copy-button";
import { LinkRefused } from "./link-refused";
import { LinkShown } from "./link-shown";
import { SignForm } from "./sign-form";

type Read = Outputs["forYou"]["read"];
type Signed = Outputs["forYou"]["sign"];

/** A volunteer reads the consent form, decides and signs: on a phone of their own, or on a device that was handed over. */
export function SignScreen({ token }: { readonly token: string }) {
  const client = useTRPCClient();
  const [signed, setSigned] = useState<Signed | null>(null);
  const read = useQuery({
    queryKey: ["for you", "read", token],
    queryFn: () => client.forYou.read.mutate({ token }),
    retry: false,
    refetchOnWindowFocus: false,
    refetchOnReconnect: false,
    staleTime: Number.POSITIVE_INFINITY,
    gcTime: 0,
  });
  if (read.isPending) return <LoadingState label="Opening the consent form" />;
  if (read.isError) return <LinkRefused error={read.error} onRetry={() => read.refetch()} />;
  if (signed !== null) return <Done read={read.data} signed={signed} />;
  const { form, studyTitle } = read.data;
  return (
    <>
      <PageHeader
        title={form.title}
        summary={`Version ${form.version}. Your code is ${read.data.code}, in the study: ${studyTitle}`}
      />
      <p>
        Please read the text in peace. Then you decide on each point by itself, and sign at the end. Until you
        sign, nothing is kept. You may say no to any of it, without giving a reason.
      </p>
      <SectionHeading>What you are asked</SectionHeading>
      <MarkdownText text={form.text} />
      <SignForm token={token} form={form} onSigned={setSigned} />
    </>
  );
}

function Done({ read, signed }: { readonly read: Read; readonly signed: Signed }) {
  const address = `${window.location.origin}/for-you/${signed.ownToken}/own`;
  return (
    <>
      <PageHeader
        title="Thank you. It is signed."
        summary={`Your code is ${read.code}, in the study: ${read.studyTitle}`}
      />
      <SectionHeading>Your copy</SectionHeading>
      <OwnCopyButton
        token={signed.ownToken}
        recordId={signed.recordId}
        fileName={`consent-${read.code}.pdf`}
      />
      <SectionHeading>Your own page</SectionHeading>
      <p>
        With this link you see at any time what you have permitted, and get your copy again. Keep it to
        yourself: whoever has it sees your page.
      </p>
      <LinkShown
        label="Link to your page"
        description={`Shown only now. It works until ${signed.ownUntil.slice(0, 10)}.`}
        address={address}
      />
      {read.here && (
        <>
          <SectionHeading>Give the device back</SectionHeading>
          <p>
            Take a picture of the code with your phone first, then give the device back. For the team:{" "}
            <TextLink href="/sign-in">sign in again</TextLink>.
          </p>
        </>
      )}
    </>
  );
}
