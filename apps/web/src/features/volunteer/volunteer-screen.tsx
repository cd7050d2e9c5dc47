"use client";

import { useQuery } from "@tanstack/react-query";
import { EmptyState } from "@/components/empty-state";
import { KeyValueList } from "@/components/key-value-list";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { StateBadge } from "@/components/state-badge";
import { TextLink } from "@/components/text-link";
import { ConsentOfVolunteer } from "@/features/consent/consent-of-volunteer";
import { PreferenceSection } from "@/features/preference/preference-section";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { BodyMeasuresSection } from "./body-measures-section";
import { ErasureSection } from "./erasure-section";
import { IdentitySection } from "./identity-section";
import { VolunteerDetails } from "./volunteer-details";
import { participationSigns, trialStates, type Volunteer } from "./words";

export function VolunteerScreen({ volunteerId }: { readonly volunteerId: string }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const volunteer = useQuery(trpc.volunteer.get.queryOptions({ studyId, volunteerId }));
  if (volunteer.isPending) return <LoadingState label="Reading the volunteer" />;
  if (volunteer.isError) {
    return <QueryError error={volunteer.error} what="this volunteer" onRetry={() => volunteer.refetch()} />;
  }
  const { data } = volunteer;
  if (data.erasedAt !== null) {
    return (
      <>
        <PageHeader
          title={data.code}
          trail={[{ label: "Volunteers", href: `/studies/${studyId}/volunteers` }]}
          summary="This volunteer was erased. Nothing is kept but the code and the fact."
        />
        <ErasureSection volunteerId={volunteerId} />
      </>
    );
  }
  const sign = participationSigns[data.participation];
  return (
    <>
      <PageHeader
        title={data.code}
        trail={[{ label: "Volunteers", href: `/studies/${studyId}/volunteers` }]}
        summary={
          <StateBadge shape={sign.shape} tone={sign.tone}>
            {`Taking part: ${sign.words}`}
          </StateBadge>
        }
      />
      <VolunteerDetails key={data.volunteerId} volunteer={data} />
      <ConsentOfVolunteer volunteerId={volunteerId} />
      <PreferenceSection key={`preferences ${data.volunteerId}`} volunteerId={volunteerId} />
      <BodyMeasuresSection volunteer={data} />
      <IdentitySection key={`identity ${data.volunteerId}`} volunteer={data} />
      <Trials volunteer={data} />
      <ErasureSection key={`kept ${data.volunteerId}`} volunteerId={volunteerId} />
    </>
  );
}

function Trials({ volunteer }: { readonly volunteer: Volunteer }) {
  const { studyId } = useStudy();
  const trials = `/studies/${studyId}/trials`;
  return (
    <section aria-labelledby="trials">
      <SectionHeading id="trials">Trials</SectionHeading>
      {volunteer.trials.length === 0 ? (
        <EmptyState title="No trial is planned.">
          Trials are planned on the <TextLink href={trials}>Trials</TextLink> screen, once taking part is
          permitted.
        </EmptyState>
      ) : (
        <>
          <KeyValueList
            items={volunteer.trials.map((group) => ({ label: trialStates[group.state], value: group.count }))}
          />
          <p>
            <TextLink href={trials}>All trials</TextLink>
          </p>
        </>
      )}
    </section>
  );
}
