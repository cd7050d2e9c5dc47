"use client";

import { useQuery } from "@tanstack/react-query";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { StateBadge } from "@/components/state-badge";
import { versionStates } from "@/features/protocol/words";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { FormDraft } from "./form-draft";
import { FormView } from "./form-view";

/** One version: a draft to write, or what people signed to read. */
export function ConsentFormScreen({ formId }: { readonly formId: string }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const form = useQuery(
    trpc.consent.form.queryOptions({ studyId, formId }, { refetchOnWindowFocus: false, staleTime: 0 }),
  );
  if (form.isPending) return <LoadingState label="Reading the consent form" />;
  if (form.isError) {
    return <QueryError error={form.error} what="this consent form" onRetry={() => form.refetch()} />;
  }
  const { data } = form;
  const since =
    data.state === "retired" && data.retiredAt !== null
      ? `, in force until ${formatMoment(data.retiredAt)}`
      : data.inForceAt === null
        ? ""
        : ` since ${formatMoment(data.inForceAt)}`;
  const writing = data.state === "draft" && may("consent.saveForm");
  return (
    <>
      <PageHeader
        title={`Consent form version ${data.version}`}
        trail={[{ label: "Consent forms", href: `/studies/${studyId}/consent` }]}
        summary={
          <>
            {!writing && <p>{data.title}</p>}
            <StateBadge
              shape={versionStates[data.state].shape}
            >{`${versionStates[data.state].name}${since}`}</StateBadge>
          </>
        }
      />
      {writing ? (
        <FormDraft key={data.formId} form={data} />
      ) : (
        <FormView text={data.text} permissions={data.permissions} />
      )}
    </>
  );
}
