import type { ReactNode } from "react";
import { PasswordAgain } from "@/features/account/password-again";
import { TopBar } from "@/features/frame/top-bar";
import { api, signedInPerson } from "@/trpc/server";

export default async function AppLayout({ children }: { readonly children: ReactNode }) {
  const person = await signedInPerson();
  const studies = await (await api()).study.list();
  return (
    <>
      <TopBar
        person={{ name: person.name, email: person.email }}
        studies={studies.map(({ studyId, title }) => ({ studyId, title }))}
      />
      {children}
      <PasswordAgain />
    </>
  );
}
