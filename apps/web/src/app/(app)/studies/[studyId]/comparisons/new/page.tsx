import type { Metadata } from "next";
import { NewComparison } from "@/features/comparison/new-comparison";

export const metadata: Metadata = { title: "New comparison" };

export default function NewComparisonPage() {
  return <NewComparison />;
}
