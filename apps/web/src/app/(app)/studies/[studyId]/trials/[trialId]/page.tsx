import type { Metadata } from "next";
import { TrialScreen } from "@/features/trial/trial-screen";

export const metadata: Metadata = { title: "Trial" };

interface TrialPageProps {
  readonly params: Promise<{ readonly trialId: string }>;
}

export default async function TrialPage({ params }: TrialPageProps) {
  const { trialId } = await params;
  return <TrialScreen trialId={trialId} />;
}
