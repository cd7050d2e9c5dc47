"use client";

import { Button, Text } from "@mantine/core";
import { useMutation, useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { KeyValueList } from "@/components/key-value-list";
import { LoadingState } from "@/components/loading-state";
import { toLocalMoment } from "@/components/local-moment";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { canEdit, type Trial } from "@/features/trial/trial-words";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { QueryError } from "@/trpc/query-error";
import classes from "./imaging.module.css";
import { ImagingForm } from "./imaging-form";
import type { ImagingRecord, TrialImaging } from "./imaging-words";
import { recordItems } from "./record-fields";
import { ReportingSummary } from "./reporting-summary";

/** What was set, done and measured for the images of this trial, and what is still missing of what guidance asks for. */
export function ImagingSection({ trial }: { readonly trial: Trial }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const imaging = useQuery(trpc.imaging.ofTrial.queryOptions({ studyId, trialId: trial.trialId }));
  return (
    <section className={classes.section} aria-labelledby="imaging-record">
      <SectionHeading
        id="imaging-record"
        explanation="What was set, done and measured on the day, so that the images can be judged and reported."
      >
        Imaging record
      </SectionHeading>
      {imaging.isPending ? (
        <LoadingState label="Reading the imaging record" lines={3} />
      ) : imaging.isError ? (
        <QueryError error={imaging.error} what="the imaging record" onRetry={() => imaging.refetch()} />
      ) : (
        <>
          <ReportingSummary trial={trial} imaging={imaging.data} />
          <RecordOfTrial trial={trial} imaging={imaging.data} />
        </>
      )}
    </section>
  );
}

interface RecordOfTrialProps {
  readonly trial: Trial;
  readonly imaging: TrialImaging;
}

function RecordOfTrial({ trial, imaging }: RecordOfTrialProps) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const save = useMutation(trpc.imaging.save.mutationOptions());
  const [open, setOpen] = useState(false);
  const { record } = imaging;
  const editable = may("imaging.save") && canEdit(trial);
  const planned: ImagingRecord = {
    ...imaging.asPlanned,
    timeOfDay:
      imaging.asPlanned.timeOfDay ??
      (trial.plannedFor === null ? null : toLocalMoment(new Date(trial.plannedFor)).slice(11)),
  };
  const nothingPlanned = recordItems(planned, []).every(
    ({ name, value }) => name === "timeOfDay" || value === "",
  );

  if (editable && open) {
    return (
      <ImagingForm
        trialId={trial.trialId}
        imaging={imaging}
        from={record ?? planned}
        onCancel={() => setOpen(false)}
        onSaved={async () => {
          await refresh();
          setOpen(false);
        }}
      />
    );
  }
  if (record === null) {
    return (
      <>
        <p>
          Nothing is recorded of the images of this trial.
          {editable && nothingPlanned && " The protocol says nothing of the imaging set-up either."}
        </p>
        {editable && (
          <div className={classes.buttons} data-screen-only>
            {!nothingPlanned && (
              <Button
                loading={save.isPending}
                onClick={() =>
                  save.mutate(
                    { studyId, trialId: trial.trialId, revision: imaging.revision, record: planned },
                    // Somebody else recorded it meanwhile: their record is what is shown then.
                    { onSettled: () => refresh() },
                  )
                }
              >
                As the protocol says
              </Button>
            )}
            <Button onClick={() => setOpen(true)} disabled={save.isPending}>
              Fill in the record
            </Button>
          </div>
        )}
        {editable && !nothingPlanned && (
          <p className={classes.help}>
            “As the protocol says” records its numbers and texts in one press. What only the day can tell
            stays open: what the volunteer named, which camera it was, who drew the regions.
          </p>
        )}
        {save.error !== null && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failureOf(save.error).message}
          </Text>
        )}
      </>
    );
  }
  const filled = recordItems(record, imaging.items).filter(({ value }) => value !== "");
  return (
    <>
      {filled.length === 0 ? (
        <p>The record is there, and says nothing.</p>
      ) : (
        <KeyValueList
          columns={2}
          items={filled.map(({ name, label, value }) => {
            const note = imaging.differs.find(({ field }) => field === name)?.message;
            return {
              label,
              value: <span className={classes.words}>{value}</span>,
              ...(note === undefined ? {} : { note }),
            };
          })}
        />
      )}
      {editable && (
        <div className={classes.buttons} data-screen-only>
          <Button onClick={() => setOpen(true)}>Change the imaging record</Button>
        </div>
      )}
    </>
  );
}
