import type { Metadata } from "next";
import { PageHeader } from "@/components/page-header";
import { ChangePasswordForm } from "@/features/account/change-password-form";
import { PageBody } from "@/features/frame/page-body";

export const metadata: Metadata = { title: "Change password" };

export default function AccountPage() {
  return (
    <PageBody width="form">
      <PageHeader
        title="Change password"
        trail={[{ label: "Studies", href: "/studies" }]}
        summary="Every other session of yours is signed out when you change it."
      />
      <ChangePasswordForm />
    </PageBody>
  );
}
