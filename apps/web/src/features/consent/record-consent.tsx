"use client";

import { Button, Group, Radio, Stack, Text, TextInput } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { type FormEvent, useState } from "react";
import { ButtonLink } from "@/components/button-link";
import { Caution } from "@/components/caution";
import { EmptyState } from "@/components/empty-state";
import { FieldErrors } from "@/components/field-errors";
import { LoadingState } from "@/components/loading-state";
import { fromLocalMoment, toLocalMoment } from "@/components/local-moment";
import { MarkdownText } from "@/components/markdown-text";
import { PageHeader } from "@/components/page-header";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { QueryError } from "@/trpc/query-error";
import classes from "./consent.module.css";
import type { Consent } from "./words";

export function RecordConsentScreen({ volunteerId }: { readonly volunteerId: string }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const consent = useQuery(
    trpc.consent.ofVolunteer.queryOptions({ studyId, volunteerId }, { refetchOnWindowFocus: false }),
  );
  if (consent.isPending) return <LoadingState label="Reading the consent form" />;
  if (consent.isError) {
    return <QueryError error={consent.error} what="the consent form" onRetry={() => consent.refetch()} />;
  }
  const { code, formInForce } = consent.data;
  const page = `/studies/${studyId}/volunteers/${volunteerId}`;
  return (
    <>
      <PageHeader
        title={`Record consent of ${code}`}
        trail={[
          { label: "Volunteers", href: `/studies/${studyId}/volunteers` },
          { label: code, href: page },
        ]}
      />
      {formInForce === null ? (
        <EmptyState
          title="No consent form is in force."
          action={<ButtonLink href={`/studies/${studyId}/consent`}>Consent forms</ButtonLink>}
        >
          A lead investigator writes one and puts it in force; then decisions on it can be recorded here.
        </EmptyState>
      ) : may("consent.record") ? (
        <Decisions key={formInForce.formId} volunteerId={volunteerId} form={formInForce} page={page} />
      ) : (
        <EmptyState title="You cannot record a consent.">
          Lead investigators and operators of this study record what a volunteer signed.
        </EmptyState>
      )}
    </>
  );
}

interface DecisionsProps {
  readonly volunteerId: string;
  readonly form: NonNullable<Consent["formInForce"]>;
  readonly page: string;
}

function Decisions({ volunteerId, form, page }: DecisionsProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const router = useRouter();
  // Nothing is decided beforehand.
  const [decisions, setDecisions] = useState<Readonly<Record<string, boolean>>>({});
  const [signedAt, setSignedAt] = useState(() => toLocalMoment(new Date()));
  const [nameAsSigned, setNameAsSigned] = useState("");
  const [complaints, setComplaints] = useState<Readonly<Record<string, string>>>({});
  const record = useMutation(trpc.consent.record.mutationOptions({ gcTime: 0 }));
  const failure = record.error === null ? null : failureOf(record.error);
  const errors: Readonly<Record<string, string>> = { ...failure?.fields, ...complaints };

  const submit = (event: FormEvent) => {
    event.preventDefault();
    const open = form.permissions.filter((item) => decisions[item.key] === undefined);
    setComplaints(
      Object.fromEntries(open.map((item) => [`decisions.${item.key}`, "Decide: permitted or refused."])),
    );
    if (open.length > 0) return;
    record.mutate(
      {
        studyId,
        volunteerId,
        formId: form.formId,
        signedAt: fromLocalMoment(signedAt),
        nameAsSigned,
        decisions,
      },
      {
        onSuccess: async () => {
          await Promise.all([
            queries.invalidateQueries({ queryKey: trpc.consent.pathKey() }),
            queries.invalidateQueries({ queryKey: trpc.volunteer.pathKey() }),
            queries.invalidateQueries({ queryKey: trpc.study.pathKey() }),
          ]);
          router.push(page);
        },
      },
    );
  };
  const labelOf = (path: string) =>
    path === "signedAt"
      ? "Signed on"
      : path === "nameAsSigned"
        ? "Name as signed"
        : (form.permissions.find((item) => `decisions.${item.key}` === path)?.label ?? path);

  return (
    <form onSubmit={submit} noValidate>
      <Caution>
        Record what the volunteer decided and signed, after the text was explained and every question
        answered. Local codes, the ethics body's decision and licensed practice prevail.
      </Caution>
      <SectionHeading explanation={`${form.title}, version ${form.version}.`}>What was read</SectionHeading>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard */}
      <section className={classes.paper} aria-label="Text of the consent form" tabIndex={0}>
        <MarkdownText text={form.text} />
      </section>
      <SectionHeading explanation="Each permission is decided on its own.">Decisions</SectionHeading>
      {form.permissions.map((item) => {
        const error = errors[`decisions.${item.key}`];
        return (
          <fieldset key={item.key} id={`decisions.${item.key}`} className={classes.decision} tabIndex={-1}>
            <legend>
              {item.label} {item.required && <span className={classes.note}>Required to take part.</span>}
            </legend>
            <div className={classes.choices}>
              {([true, false] as const).map((granted) => (
                <Radio
                  key={String(granted)}
                  name={item.key}
                  label={granted ? "Permitted" : "Refused"}
                  checked={decisions[item.key] === granted}
                  onChange={() => setDecisions((now) => ({ ...now, [item.key]: granted }))}
                />
              ))}
            </div>
            {error !== undefined && <div className={classes.error}>{error}</div>}
          </fieldset>
        );
      })}
      <SectionHeading>Signature</SectionHeading>
      <Stack gap="md" maw={480}>
        <TextInput
          id="signedAt"
          type="datetime-local"
          label="Signed on"
          description="When the volunteer signed, not when it is entered here."
          value={signedAt}
          max={toLocalMoment(new Date())}
          onChange={(event) => setSignedAt(event.currentTarget.value)}
          error={errors.signedAt}
          required
        />
        <TextInput
          id="nameAsSigned"
          label="Name as signed"
          description="Kept encrypted, beside the decisions; shown only together with the identity."
          value={nameAsSigned}
          autoComplete="off"
          onChange={(event) => setNameAsSigned(event.currentTarget.value)}
          error={errors.nameAsSigned}
          required
        />
      </Stack>
      <Stack mt="lg" gap="md">
        <FieldErrors
          title="Not recorded yet. Please mend:"
          errors={Object.entries(errors).map(([path, message]) => ({
            fieldId: path,
            label: labelOf(path),
            message,
          }))}
        />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message} What you entered is still here.
          </Text>
        )}
        <Group gap="sm">
          <Button type="submit" variant="filled" loading={record.isPending || record.isSuccess}>
            Record consent
          </Button>
          <ButtonLink href={page}>Cancel</ButtonLink>
        </Group>
      </Stack>
    </form>
  );
}
