import type { Metadata } from "next";
import { ConsentFormsScreen } from "@/features/consent/consent-forms-screen";

export const metadata: Metadata = { title: "Consent forms" };

export default function Page() {
  return <ConsentFormsScreen />;
}
