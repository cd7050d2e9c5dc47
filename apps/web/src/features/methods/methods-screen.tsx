"use client";

import { Button, SegmentedControl } from "@mantine/core";
import { IconCopy, IconDownload, IconPrinter } from "@tabler/icons-react";
import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { EmptyState } from "@/components/empty-state";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { saveBlob } from "@/components/save-blob";
import { SectionHeading } from "@/components/section-heading";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { CompletenessTable, IncompleteTrials } from "./completeness";
import classes from "./methods.module.css";
import { type Methods, markdownMethods, plainMethods, scopeSentence } from "./methods-text";

type Choice = Methods["choice"];

/** What a report of this study has to say of its methods, and what it cannot say yet. */
export function MethodsScreen() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const [chosen, setChosen] = useState<Choice | null>(null);
  const methods = useQuery({
    ...trpc.methods.get.queryOptions({ studyId, ...(chosen === null ? {} : { trials: chosen }) }),
    placeholderData: (previous) => previous,
  });
  if (methods.isPending) return <LoadingState label="Reading the records of all trials" lines={8} />;
  if (methods.isError) {
    return <QueryError error={methods.error} what="the methods" onRetry={() => methods.refetch()} />;
  }
  const { data } = methods;
  const { counts } = data;
  return (
    <>
      <PageHeader
        title="Methods"
        summary="A methods text from the protocol and the records of the trials, and what is still missing for it."
        actions={data.paragraphs.length === 0 ? undefined : <Take methods={data} />}
      />
      {counts.recorded > 0 && (
        <div className={classes.choice} data-screen-only>
          <SegmentedControl
            aria-label="Trials"
            value={data.choice}
            onChange={(value) => setChosen(value === "accepted" ? "accepted" : "recorded")}
            data={[
              { value: "accepted", label: `Accepted trials (${counts.accepted})` },
              { value: "recorded", label: `All recorded trials (${counts.recorded})` },
            ]}
          />
        </div>
      )}
      {data.paragraphs.length === 0 ? (
        <Nothing methods={data} />
      ) : (
        <>
          <p className={classes.printed}>{data.title}</p>
          <section aria-labelledby="methods-text">
            <SectionHeading id="methods-text" explanation={scopeSentence(data)}>
              Methods text
            </SectionHeading>
            {data.volunteers < data.smallestGroup && (
              <p className={classes.note}>
                Fewer than {data.smallestGroup} volunteers: age, height and mass could point at a person. Keep
                this text within the team.
              </p>
            )}
            <div className={classes.text}>
              {data.paragraphs.map(({ title, text }) => (
                <p key={title}>
                  <strong>{title}.</strong> {text}
                </p>
              ))}
            </div>
          </section>
          <section aria-labelledby="completeness">
            <SectionHeading id="completeness" explanation={data.source}>
              Completeness of reporting
            </SectionHeading>
            <CompletenessTable methods={data} />
            <IncompleteTrials methods={data} />
          </section>
        </>
      )}
    </>
  );
}

function Nothing({ methods }: { readonly methods: Methods }) {
  const { studyId } = useStudy();
  const trials = <TextLink href={`/studies/${studyId}/trials`}>Trials</TextLink>;
  if (methods.counts.recorded > 0) {
    return (
      <EmptyState title="No trial is accepted yet.">
        Accept one on its page under {trials}, or choose all recorded trials above.
      </EmptyState>
    );
  }
  return (
    <EmptyState title="There is nothing to report yet.">
      The text is written from trials in which something was recorded. Plan and record one under {trials}; its
      page asks for what a report needs.
      {methods.withoutConsent > 0 &&
        ` ${methods.withoutConsent} recorded ${methods.withoutConsent === 1 ? "trial is" : "trials are"} left out, since consent is not in force.`}
    </EmptyState>
  );
}

function Take({ methods }: { readonly methods: Methods }) {
  const [copied, setCopied] = useState<"copied" | "failed" | null>(null);
  return (
    <>
      <Button
        leftSection={<IconCopy size={16} stroke={1.75} aria-hidden />}
        onClick={() =>
          navigator.clipboard.writeText(plainMethods(methods)).then(
            () => setCopied("copied"),
            () => setCopied("failed"),
          )
        }
      >
        Copy the text
      </Button>
      <Button
        leftSection={<IconDownload size={16} stroke={1.75} aria-hidden />}
        onClick={() =>
          saveBlob(
            new Blob([markdownMethods(methods)], { type: "text/markdown;charset=utf-8" }),
            "methods.md",
          )
        }
      >
        Save as Markdown
      </Button>
      <Button
        leftSection={<IconPrinter size={16} stroke={1.75} aria-hidden />}
        onClick={() => window.print()}
      >
        Print
      </Button>
      <span role="status" className={classes.quiet}>
        {copied === "copied" && "Copied."}
        {copied === "failed" && "This browser does not allow copying. Select the text and copy it."}
      </span>
    </>
  );
}
