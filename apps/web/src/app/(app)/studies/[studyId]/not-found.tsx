import { Anchor } from "@mantine/core";
import Link from "next/link";
import { EmptyState } from "@/components/empty-state";
import { PageHeader } from "@/components/page-header";

export default function NotFoundInStudy() {
  return (
    <>
      <PageHeader title="There is no such record in this study" />
      <EmptyState title="The address leads to nothing here.">
        It may have been removed, or belong to another study. Choose a screen of this study, or{" "}
        <Anchor component={Link} href="/studies">
          another study
        </Anchor>
        .
      </EmptyState>
    </>
  );
}
