import { Stack } from "@mantine/core";
import type { Metadata } from "next";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { ChangePasswordForm } from "@/features/account/change-password-form";
import { SecondFactor } from "@/features/account/second-factor";
import { Sessions } from "@/features/account/sessions";
import { PageBody } from "@/features/frame/page-body";
import { Hydrated, prefetch, trpc } from "@/trpc/server";

export const metadata: Metadata = { title: "Your account" };

export default async function AccountPage() {
  await prefetch(trpc.session.list.queryOptions());
  await prefetch(trpc.secondFactor.state.queryOptions());
  return (
    <PageBody width="form">
      <PageHeader
        title="Your account"
        trail={[{ label: "Studies", href: "/studies" }]}
        summary="Your password, a second factor beside it, and where you are signed in."
      />
      <Stack gap={40}>
        <section aria-labelledby="password">
          <SectionHeading
            id="password"
            explanation="Every other session of yours is signed out when you change it."
          >
            Change password
          </SectionHeading>
          <ChangePasswordForm />
        </section>
        <Hydrated>
          <SecondFactor />
          <Sessions />
        </Hydrated>
      </Stack>
    </PageBody>
  );
}
