import type { Metadata } from "next";
import { ReleaseList } from "@/features/release/release-list";

export const metadata: Metadata = { title: "Releases" };

export default function ReleasesPage() {
  return <ReleaseList />;
}
