import type { Metadata } from "next";
import { redirect } from "next/navigation";
import { PageHeader } from "@/components/page-header";
import { FirstAccountForm } from "@/features/account/first-account-form";
import { publicApi } from "@/trpc/server";

export const metadata: Metadata = { title: "First account" };

export default async function FirstAccountPage() {
  const { account } = await publicApi();
  if (!(await account.firstAccountIsOpen())) redirect("/sign-in");
  return (
    <>
      <PageHeader
        title="The first account"
        summary="This Acral is empty. Whoever started it can create the first account; everybody else joins by invitation."
      />
      <FirstAccountForm />
    </>
  );
}
