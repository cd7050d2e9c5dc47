import type { Metadata } from "next";
import { QualityScreen } from "@/features/quality/quality-screen";

export const metadata: Metadata = { title: "Quality" };

export default function QualityPage() {
  return <QualityScreen />;
}
