import type { Metadata } from "next";
import { InvitationScreen } from "@/features/invitation/invitation-screen";

export const metadata: Metadata = { title: "Invitation" };

export default function Page() {
  return <InvitationScreen />;
}
