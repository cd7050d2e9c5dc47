import type { Metadata } from "next";
import { PageBody } from "@/features/frame/page-body";
import { InvitationSheet } from "@/features/invitation/invitation-sheet";
import { readStudy } from "@/features/study/read-study";

export const metadata: Metadata = { title: "Invitation" };

interface PageProps {
  readonly params: Promise<{ readonly studyId: string }>;
}

/** Outside of the frame of the study: nothing but the sheet is printed. */
export default async function Page({ params }: PageProps) {
  const { studyId } = await readStudy((await params).studyId);
  return (
    <PageBody width="form">
      <InvitationSheet studyId={studyId} />
    </PageBody>
  );
}
