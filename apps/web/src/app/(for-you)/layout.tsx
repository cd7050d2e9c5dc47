import type { Metadata } from "next";
import type { ReactNode } from "react";
import { PageBody } from "@/features/frame/page-body";

// The address is all that opens these pages: it goes to nobody else.
export const metadata: Metadata = {
  referrer: "no-referrer",
  robots: { index: false, follow: false, nocache: true },
};

/** For volunteers: no bar and no way into a study, so that a device can be handed over. */
export default function ForYouLayout({ children }: { readonly children: ReactNode }) {
  return <PageBody width="form">{children}</PageBody>;
}
