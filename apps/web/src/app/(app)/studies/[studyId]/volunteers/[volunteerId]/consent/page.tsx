import type { Metadata } from "next";
import { RecordConsentScreen } from "@/features/consent/record-consent";

export const metadata: Metadata = { title: "Record consent" };

interface PageProps {
  readonly params: Promise<{ readonly volunteerId: string }>;
}

export default async function Page({ params }: PageProps) {
  return <RecordConsentScreen volunteerId={(await params).volunteerId} />;
}
