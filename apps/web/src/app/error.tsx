"use client";

import { FailedPage, type FailedPageProps } from "@/features/frame/failed-page";
import { PageBody } from "@/features/frame/page-body";

export default function RootError(props: FailedPageProps) {
  return (
    <PageBody>
      <FailedPage {...props} />
    </PageBody>
  );
}
