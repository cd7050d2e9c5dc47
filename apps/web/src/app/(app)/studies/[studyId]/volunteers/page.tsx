import type { Metadata } from "next";
import { VolunteerList } from "@/features/volunteer/volunteer-list";

export const metadata: Metadata = { title: "Volunteers" };

export default function VolunteersPage() {
  return <VolunteerList />;
}
