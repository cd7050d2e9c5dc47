import type { Metadata } from "next";
import { PageHeader } from "@/components/page-header";
import { PageBody } from "@/features/frame/page-body";
import { CreateStudyForm } from "@/features/study/create-study-form";

export const metadata: Metadata = { title: "Create a study" };

export default function NewStudyPage() {
  return (
    <PageBody width="form">
      <PageHeader
        title="Create a study"
        trail={[{ label: "Studies", href: "/studies" }]}
        summary="One research question with its people, protocol and data. You become its lead investigator."
      />
      <CreateStudyForm />
    </PageBody>
  );
}
