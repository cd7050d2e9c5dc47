import type { Metadata } from "next";
import { MethodsScreen } from "@/features/methods/methods-screen";
import { Hydrated, prefetch, trpc } from "@/trpc/server";

export const metadata: Metadata = { title: "Methods" };

interface MethodsPageProps {
  readonly params: Promise<{ readonly studyId: string }>;
}

export default async function MethodsPage({ params }: MethodsPageProps) {
  const { studyId } = await params;
  await prefetch(trpc.methods.get.queryOptions({ studyId }));
  return (
    <Hydrated>
      <MethodsScreen />
    </Hydrated>
  );
}
