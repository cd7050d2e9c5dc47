import type { Metadata } from "next";
import { OwnScreen } from "@/features/for-you/own-screen";

export const metadata: Metadata = { title: "Your page" };

interface PageProps {
  readonly params: Promise<{ readonly token: string }>;
}

export default async function Page({ params }: PageProps) {
  return <OwnScreen token={(await params).token} />;
}
