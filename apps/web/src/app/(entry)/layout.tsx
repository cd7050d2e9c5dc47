import type { ReactNode } from "react";
import { PageBody } from "@/features/frame/page-body";
import { PlainBar } from "@/features/frame/top-bar";

export default function EntryLayout({ children }: { readonly children: ReactNode }) {
  return (
    <>
      <PlainBar />
      <PageBody width="form">{children}</PageBody>
    </>
  );
}
