import type { Metadata } from "next";
import { EmptyState } from "@/components/empty-state";
import { PageHeader } from "@/components/page-header";
import { TextLink } from "@/components/text-link";
import { PageBody } from "@/features/frame/page-body";

export const metadata: Metadata = { title: "Not found" };

export default function NotFound() {
  return (
    <PageBody>
      <PageHeader title="There is no such page" />
      <EmptyState title="The address leads nowhere, or to a study in which you have no role.">
        Check the address, ask the person who sent it to you for a role in the study, or{" "}
        <TextLink href="/studies">go to your studies</TextLink>.
      </EmptyState>
    </PageBody>
  );
}
