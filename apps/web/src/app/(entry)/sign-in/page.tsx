import type { Metadata } from "next";
import { redirect } from "next/navigation";
import { PageHeader } from "@/components/page-header";
import { pathAfterSignIn } from "@/features/account/sign-in-client";
import { SignInForm } from "@/features/account/sign-in-form";
import { publicApi } from "@/trpc/server";

export const metadata: Metadata = { title: "Sign in" };

interface SignInPageProps {
  readonly searchParams: Promise<{ readonly [name: string]: string | string[] | undefined }>;
}

export default async function SignInPage({ searchParams }: SignInPageProps) {
  const { then } = await searchParams;
  const next = pathAfterSignIn(typeof then === "string" ? then : undefined);
  const { account } = await publicApi();
  if (await account.firstAccountIsOpen()) redirect("/first-account");
  if ((await account.me()) !== null) redirect(next);
  return (
    <>
      <PageHeader
        title="Sign in"
        summary="Acral keeps studies of how the body sheds heat: people, consent, trials, comparisons."
      />
      <SignInForm then={next} />
      <p style={{ marginTop: 24, color: "var(--mantine-color-dimmed)" }}>
        No account? A lead investigator of your study can send you an invitation link.
      </p>
    </>
  );
}
