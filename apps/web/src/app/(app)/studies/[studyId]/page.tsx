import { StudyOverview } from "@/features/study/study-overview";
import { Hydrated, prefetch, trpc } from "@/trpc/server";

interface OverviewPageProps {
  readonly params: Promise<{ readonly studyId: string }>;
}

export default async function OverviewPage({ params }: OverviewPageProps) {
  const { studyId } = await params;
  await prefetch(trpc.study.get.queryOptions({ studyId }));
  return (
    <Hydrated>
      <StudyOverview />
    </Hydrated>
  );
}
