import type { Metadata } from "next";
import { SignScreen } from "@/features/for-you/sign-screen";

export const metadata: Metadata = { title: "Consent form" };

interface PageProps {
  readonly params: Promise<{ readonly token: string }>;
}

export default async function Page({ params }: PageProps) {
  return <SignScreen token={(await params).token} />;
}
