import { headers } from "next/headers";
import { redirect } from "next/navigation";
import type { ReactNode } from "react";
import { TopBar } from "@/features/frame/top-bar";
import { api } from "@/trpc/server";

export default async function AppLayout({ children }: { readonly children: ReactNode }) {
  const { account, study } = await api();
  const person = await account.me();
  if (person === null) {
    const path = (await headers()).get("x-path") ?? "/studies";
    redirect(`/sign-in?then=${encodeURIComponent(path)}`);
  }
  const studies = await study.list();
  return (
    <>
      <TopBar
        person={{ name: person.name, email: person.email }}
        studies={studies.map(({ studyId, title }) => ({ studyId, title }))}
      />
      {children}
    </>
  );
}
