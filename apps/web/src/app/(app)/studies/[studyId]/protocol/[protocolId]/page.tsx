import type { Metadata } from "next";
import { ProtocolVersionScreen } from "@/features/protocol/protocol-version-screen";

export const metadata: Metadata = { title: "Protocol version" };

interface ProtocolVersionPageProps {
  readonly params: Promise<{ readonly protocolId: string }>;
}

export default async function ProtocolVersionPage({ params }: ProtocolVersionPageProps) {
  return <ProtocolVersionScreen protocolId={(await params).protocolId} />;
}
