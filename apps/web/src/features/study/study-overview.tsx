"use client";

import { roleNames } from "@acral/api/access";
import { Button } from "@mantine/core";
import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { formatMoment } from "@/components/format-moment";
import { KeyValueList } from "@/components/key-value-list";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import { useStudy } from "./study-context";
import { StudyDetailsForm } from "./study-details-form";
import { StudySteps } from "./study-steps";

type Overview = Outputs["study"]["overview"];

const trialStateNames: Readonly<Record<Overview["trials"][number]["state"], string>> = {
  planned: "planned",
  recorded: "recorded",
  checked: "checked",
  accepted: "accepted",
  set_aside: "set aside",
};

function standing({ protocol, consentForm, volunteers, trials, comparisons, releases }: Overview) {
  const version = (inForce: Overview["protocol"]) =>
    inForce === null
      ? "none in force"
      : `version ${inForce.version}${inForce.inForceAt === null ? "" : `, since ${formatMoment(inForce.inForceAt)}`}`;
  return [
    { label: "Protocol", value: version(protocol) },
    { label: "Consent form", value: version(consentForm) },
    { label: "Volunteers registered", value: volunteers.registered },
    { label: "Permit taking part", value: volunteers.permitted },
    { label: "Have withdrawn", value: volunteers.withdrawn },
    ...trials.map((trial) => ({ label: `Trials ${trialStateNames[trial.state]}`, value: trial.count })),
    { label: "Comparisons", value: comparisons },
    { label: "Releases", value: releases },
  ];
}

export function StudyOverview() {
  const { studyId, title, may } = useStudy();
  const trpc = useTRPC();
  const study = useQuery(trpc.study.get.queryOptions({ studyId }));
  const overview = useQuery(trpc.study.overview.queryOptions({ studyId }));
  const [editing, setEditing] = useState(false);

  if (study.isPending) return <LoadingState label="Reading the study" />;
  if (study.isError) {
    return <QueryError error={study.error} what="the study" onRetry={() => study.refetch()} />;
  }
  const { data } = study;
  return (
    <>
      <PageHeader
        title={data.title || title}
        trail={[{ label: "Studies", href: "/studies" }]}
        {...(data.summary === "" ? {} : { summary: data.summary })}
        {...(may("study.update") && !editing
          ? { actions: <Button onClick={() => setEditing(true)}>Edit details</Button> }
          : {})}
      />
      {overview.isPending && <LoadingState label="Counting" />}
      {overview.isError && (
        <QueryError error={overview.error} what="where the study stands" onRetry={() => overview.refetch()} />
      )}
      {overview.data !== undefined && (
        <>
          <section aria-labelledby="next">
            <SectionHeading id="next">
              {overview.data.steps.every((step) => step.done) ? "Every step is done" : "What to do next"}
            </SectionHeading>
            <StudySteps studyId={studyId} steps={overview.data.steps} />
          </section>
          <section aria-labelledby="stands">
            <SectionHeading id="stands">Where the study stands</SectionHeading>
            <KeyValueList columns={2} items={standing(overview.data)} />
          </section>
        </>
      )}
      <section>
        <SectionHeading>Details</SectionHeading>
        {editing ? (
          <StudyDetailsForm study={data} onDone={() => setEditing(false)} />
        ) : (
          <KeyValueList
            items={[
              { label: "Your role", value: roleNames[data.role] },
              { label: "Created", value: data.createdAt.slice(0, 10) },
              {
                label: "Smallest group",
                value: `${data.smallestGroup} volunteers`,
                note: "A release shows no combination of body data that fewer volunteers share.",
              },
            ]}
          />
        )}
      </section>
    </>
  );
}
