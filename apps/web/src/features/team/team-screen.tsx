"use client";

import { roleNames } from "@acral/api/access";
import { useQuery } from "@tanstack/react-query";
import { KeyValueList } from "@/components/key-value-list";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { Invitations } from "./invitations";
import { LeadsSecondFactor } from "./leads-second-factor";
import { Members } from "./members";
import { roleDuties, roles } from "./words";

export function TeamScreen() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const team = useQuery(trpc.team.list.queryOptions({ studyId }));
  if (team.isPending) return <LoadingState label="Reading the team" />;
  if (team.isError) return <QueryError error={team.error} what="the team" onRetry={() => team.refetch()} />;
  return (
    <>
      <PageHeader
        title="Team"
        summary="Who works on this study, and what each may do. A change is in force at once."
      />
      <section aria-labelledby="members">
        <SectionHeading id="members">Members</SectionHeading>
        <Members members={team.data.members} />
      </section>
      <Invitations invitations={team.data.invitations} />
      <LeadsSecondFactor />
      <section aria-labelledby="roles">
        <SectionHeading id="roles">Roles</SectionHeading>
        <KeyValueList items={roles.map((role) => ({ label: roleNames[role], value: roleDuties[role] }))} />
      </section>
    </>
  );
}
