import type { Metadata } from "next";
import { PlanTrial } from "@/features/trial/plan-trial";

export const metadata: Metadata = { title: "Plan a trial" };

export default function PlanTrialPage() {
  return <PlanTrial />;
}
