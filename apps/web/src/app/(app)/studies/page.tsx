import type { Metadata } from "next";
import { ButtonLink } from "@/components/button-link";
import { EmptyState } from "@/components/empty-state";
import { PageHeader } from "@/components/page-header";
import { PageBody } from "@/features/frame/page-body";
import { StudyList } from "@/features/study/study-list";
import { api } from "@/trpc/server";

export const metadata: Metadata = { title: "Studies" };

export default async function StudiesPage() {
  const studies = await (await api()).study.list();
  const create = (
    <ButtonLink href="/studies/new" variant="filled">
      Create a study
    </ButtonLink>
  );
  return (
    <PageBody>
      <PageHeader
        title="Studies"
        summary="Each study has its own people, protocol, data and team."
        {...(studies.length > 0 ? { actions: create } : {})}
      />
      {studies.length === 0 ? (
        <EmptyState title="You are in no study yet." action={create}>
          Create one to begin with: you become its lead investigator, write its protocol and invite your team.
          To join a study of others, ask its lead investigator for an invitation link.
        </EmptyState>
      ) : (
        <StudyList studies={studies} />
      )}
    </PageBody>
  );
}
