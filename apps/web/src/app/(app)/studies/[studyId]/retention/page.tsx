import type { Metadata } from "next";
import { RetentionScreen } from "@/features/retention/retention-screen";

export const metadata: Metadata = { title: "Retention" };

export default function Page() {
  return <RetentionScreen />;
}
