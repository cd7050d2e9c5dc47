"use client";

import { roleNames } from "@acral/api/access";
import { Button } from "@mantine/core";
import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { KeyValueList } from "@/components/key-value-list";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { useStudy } from "./study-context";
import { StudyDetailsForm } from "./study-details-form";

export function StudyOverview() {
  const { studyId, title, may } = useStudy();
  const trpc = useTRPC();
  const study = useQuery(trpc.study.get.queryOptions({ studyId }));
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
