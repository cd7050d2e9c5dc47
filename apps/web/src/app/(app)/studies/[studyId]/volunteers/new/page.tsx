import type { Metadata } from "next";
import { RegisterVolunteerScreen } from "@/features/volunteer/register-volunteer";

export const metadata: Metadata = { title: "Register a volunteer" };

export default function Page() {
  return <RegisterVolunteerScreen />;
}
