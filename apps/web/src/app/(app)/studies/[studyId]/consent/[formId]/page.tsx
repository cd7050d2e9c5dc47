import type { Metadata } from "next";
import { ConsentFormScreen } from "@/features/consent/consent-form-screen";

export const metadata: Metadata = { title: "Consent form" };

interface PageProps {
  readonly params: Promise<{ readonly formId: string }>;
}

export default async function Page({ params }: PageProps) {
  return <ConsentFormScreen formId={(await params).formId} />;
}
