import type { Metadata } from "next";
import { TrialScreen } from "@/features/trial/trial-screen";
import { Hydrated, prefetch, trpc } from "@/trpc/server";

export const metadata: Metadata = { title: "Trial" };

interface TrialPageProps {
  readonly params: Promise<{ readonly studyId: string; readonly trialId: string }>;
}

export default async function TrialPage({ params }: TrialPageProps) {
  const { studyId, trialId } = await params;
  await prefetch(trpc.trial.get.queryOptions({ studyId, trialId }));
  return (
    <Hydrated>
      <TrialScreen trialId={trialId} />
    </Hydrated>
  );
}
