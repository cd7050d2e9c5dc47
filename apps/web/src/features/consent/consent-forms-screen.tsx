"use client";

import { Button } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { ButtonLink } from "@/components/button-link";
import { EmptyState } from "@/components/empty-state";
import { ErrorState } from "@/components/error-state";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { VersionTable } from "@/features/protocol/version-table";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { QueryError } from "@/trpc/query-error";
import { AskAgain } from "./ask-again";
import { FormView } from "./form-view";
import { VolunteerSections } from "./volunteer-sections";

/** The consent form in force, and every other version. */
export function ConsentFormsScreen() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const router = useRouter();
  const list = useQuery(trpc.consent.forms.queryOptions({ studyId }));
  const start = useMutation(trpc.consent.startForm.mutationOptions());
  const inForce = list.data?.find((version) => version.state === "in_force");
  const draft = list.data?.find((version) => version.state === "draft");
  const shown = useQuery(
    trpc.consent.form.queryOptions(
      { studyId, formId: inForce?.formId ?? "" },
      { enabled: inForce !== undefined },
    ),
  );
  const base = `/studies/${studyId}/consent`;

  if (list.isPending) return <LoadingState label="Reading the consent forms" />;
  if (list.isError)
    return <QueryError error={list.error} what="the consent forms" onRetry={() => list.refetch()} />;

  const startForm = () =>
    start.mutate(
      { studyId },
      {
        onSuccess: async ({ formId }) => {
          await queries.invalidateQueries({ queryKey: trpc.consent.pathKey() });
          router.push(`${base}/${formId}`);
        },
      },
    );
  const variant = inForce === undefined ? "filled" : "default";
  const action =
    draft !== undefined ? (
      <ButtonLink href={`${base}/${draft.formId}`} variant={variant}>
        {may("consent.saveForm") ? "Go on with the draft" : "Read the draft"}
      </ButtonLink>
    ) : may("consent.startForm") ? (
      <Button variant={variant} loading={start.isPending || start.isSuccess} onClick={startForm}>
        {inForce === undefined ? "Write the consent form" : "Start a new version"}
      </Button>
    ) : undefined;

  return (
    <>
      <PageHeader
        title="Consent forms"
        summary={
          inForce === undefined
            ? "The text that volunteers read before they decide, and the permissions that they decide on."
            : `${inForce.title}. Version ${inForce.version}, in force since ${formatMoment(inForce.inForceAt ?? inForce.createdAt)}.`
        }
        {...(action !== undefined && inForce !== undefined ? { actions: action } : {})}
      />
      <VolunteerSections />
      {start.error !== null && (
        <ErrorState
          happened={failureOf(start.error).message}
          kept="No version was changed."
          onRetry={startForm}
        />
      )}
      {inForce === undefined && (
        <EmptyState
          title={
            draft === undefined ? "No consent form is written yet." : `Version ${draft.version} is a draft.`
          }
          {...(action === undefined ? {} : { action })}
        >
          Nobody's consent can be recorded before a consent form is in force. A text to adapt is offered; the
          ethics body's decision on it prevails.{" "}
          {may("consent.startForm") ? "" : "A lead investigator writes it."}
        </EmptyState>
      )}
      {inForce !== undefined && <AskAgain />}
      {inForce !== undefined && shown.isPending && <LoadingState label="Reading the version in force" />}
      {shown.isError && (
        <QueryError error={shown.error} what="the version in force" onRetry={() => shown.refetch()} />
      )}
      {shown.data !== undefined && <FormView text={shown.data.text} permissions={shown.data.permissions} />}
      {list.data.length > 0 && (
        <section>
          <SectionHeading>Versions</SectionHeading>
          <VersionTable
            label="Versions of the consent form"
            versions={list.data.map((version) => ({
              ...version,
              href: `${base}/${version.formId}`,
              note: `${version.consentRecords} ${version.consentRecords === 1 ? "time" : "times"}`,
            }))}
          />
        </section>
      )}
    </>
  );
}
