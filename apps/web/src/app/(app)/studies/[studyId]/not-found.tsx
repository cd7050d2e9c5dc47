import { EmptyState } from "@/components/empty-state";
import { PageHeader } from "@/components/page-header";
import { TextLink } from "@/components/text-link";

export default function NotFoundInStudy() {
  return (
    <>
      <PageHeader title="There is no such record in this study" />
      <EmptyState title="The address leads to nothing here.">
        It may have been removed, or belong to another study. Choose a screen of this study, or{" "}
        <TextLink href="/studies">another study</TextLink>.
      </EmptyState>
    </>
  );
}
