import type { Metadata } from "next";
import { ComparisonList } from "@/features/comparison/comparison-list";

export const metadata: Metadata = { title: "Comparisons" };

export default function ComparisonsPage() {
  return <ComparisonList />;
}
