import type { Metadata } from "next";
import { InvitedScreen } from "@/features/invitation/invited-screen";

export const metadata: Metadata = { title: "Invitation" };

interface PageProps {
  readonly params: Promise<{ readonly token: string }>;
}

export default async function Page({ params }: PageProps) {
  return <InvitedScreen token={(await params).token} />;
}
