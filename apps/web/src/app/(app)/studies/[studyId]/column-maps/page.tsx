import type { Metadata } from "next";
import { ColumnMapsScreen } from "@/features/column-map/column-maps-screen";
import { Hydrated, prefetch, trpc } from "@/trpc/server";

export const metadata: Metadata = { title: "Column maps" };

export default async function Page({ params }: { readonly params: Promise<{ readonly studyId: string }> }) {
  const { studyId } = await params;
  await prefetch(trpc.columnMap.list.queryOptions({ studyId }));
  return (
    <Hydrated>
      <ColumnMapsScreen />
    </Hydrated>
  );
}
