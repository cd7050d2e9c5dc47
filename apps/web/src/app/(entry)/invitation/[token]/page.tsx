import { AppError } from "@acral/api";
import { roleNames } from "@acral/api/access";
import type { Metadata } from "next";
import { EmptyState } from "@/components/empty-state";
import { PageHeader } from "@/components/page-header";
import { TextLink } from "@/components/text-link";
import { AcceptAsMyself, AcceptWithNewAccount } from "@/features/account/accept-invitation";
import { publicApi } from "@/trpc/server";

export const metadata: Metadata = { title: "Invitation" };

interface InvitationPageProps {
  readonly params: Promise<{ readonly token: string }>;
}

/** `null` for a link that is not known, or that is too short or too long to be one. */
async function read(token: string) {
  const { account } = await publicApi();
  try {
    return { invitation: await account.invitation({ token }), me: await account.me() };
  } catch (error) {
    const cause = error instanceof Error ? error.cause : undefined;
    const code = error instanceof Error && "code" in error ? error.code : undefined;
    if (cause instanceof AppError || code === "BAD_REQUEST") return null;
    throw error;
  }
}

export default async function InvitationPage({ params }: InvitationPageProps) {
  const { token } = await params;
  const found = await read(token);
  if (found === null) {
    return (
      <>
        <PageHeader title="Invitation" />
        <EmptyState title="This invitation link is not known.">
          Check that it was copied whole, from the first to the last character, or ask for a new one.
        </EmptyState>
      </>
    );
  }
  const { invitation, me } = found;
  if (invitation.state !== "open") {
    return (
      <>
        <PageHeader title={`Invitation to “${invitation.studyTitle}”`} />
        <EmptyState
          title={
            invitation.state === "accepted"
              ? "This invitation has been accepted already."
              : `This invitation is ${invitation.state}.`
          }
        >
          {invitation.state === "accepted" ? (
            <>
              <TextLink href="/sign-in">Sign in</TextLink> with {invitation.email} to reach the study.
            </>
          ) : (
            "Ask a lead investigator of the study for a new one."
          )}
        </EmptyState>
      </>
    );
  }
  return (
    <>
      <PageHeader
        title={`Invitation to “${invitation.studyTitle}”`}
        summary={`You are invited to join this study as ${roleNames[invitation.role]}.`}
      />
      {invitation.hasAccount ? (
        <AcceptAsMyself token={token} email={invitation.email} signedInAs={me?.email ?? null} />
      ) : (
        <AcceptWithNewAccount token={token} email={invitation.email} />
      )}
    </>
  );
}
