import type { Metadata } from "next";
import { VolunteerScreen } from "@/features/volunteer/volunteer-screen";

export const metadata: Metadata = { title: "Volunteer" };

interface PageProps {
  readonly params: Promise<{ readonly volunteerId: string }>;
}

export default async function Page({ params }: PageProps) {
  return <VolunteerScreen volunteerId={(await params).volunteerId} />;
}
