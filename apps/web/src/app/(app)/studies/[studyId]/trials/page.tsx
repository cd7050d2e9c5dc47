import type { Metadata } from "next";
import { TrialList } from "@/features/trial/trial-list";

export const metadata: Metadata = { title: "Trials" };

export default function TrialsPage() {
  return <TrialList />;
}
