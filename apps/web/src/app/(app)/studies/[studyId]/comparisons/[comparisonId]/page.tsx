import type { Metadata } from "next";
import { SavedComparison } from "@/features/comparison/saved-comparison";

export const metadata: Metadata = { title: "Comparison" };

interface ComparisonPageProps {
  readonly params: Promise<{ readonly comparisonId: string }>;
}

export default async function ComparisonPage({ params }: ComparisonPageProps) {
  return <SavedComparison comparisonId={(await params).comparisonId} />;
}
