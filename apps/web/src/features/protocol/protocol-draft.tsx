"use client";

import { Button, Text, Textarea } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { useState } from "react";
import { z } from "zod";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { FieldErrors } from "@/components/field-errors";
import { NumberField } from "@/components/number-field";
import { SaveBar } from "@/components/save-bar";
import { SectionHeading } from "@/components/section-heading";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { useLeaveGuard } from "@/components/use-leave-guard";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";
import { ConditionList } from "./condition-fields";
import { conflictRows } from "./conflict-rows";
import {
  type Content,
  contentOf,
  type DraftFields,
  fieldsOf,
  linesOf,
  type ProtocolVersion,
} from "./draft-form";
import { ImagingFields } from "./imaging-fields";
import { PhaseList } from "./phase-fields";
import { PhaseStrip } from "./phase-strip";
import classes from "./protocol.module.css";
import { RegionChoice } from "./region-fields";
import { RoomFields } from "./room-fields";
import { StopCriteriaFields } from "./stop-criteria-fields";

/** The content comes from the same server that checks every content; only its outline is looked at here. */
const savedMeanwhile = z.object({
  revision: z.number(),
  content: z.custom<Content>((value) => typeof value === "object" && value !== null && "phases" in value),
});

/** Errors of text lists name one line; the field holds all lines. */
function errorsByField(errors: Readonly<Record<string, string>>): Record<string, string> {
  return Object.fromEntries(
    Object.entries(errors).map(([path, message]) => [
      path.replace(/^content\./, "").replace(/^(stopCriteria|preVisitRules|plannedOutcomes)\.\d+$/, "$1"),
      message,
    ]),
  );
}

export function ProtocolDraft({ version }: { readonly version: ProtocolVersion }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const router = useRouter();
  const { protocolId, alwaysStop } = version;
  const [saved, setSaved] = useState({
    revision: version.revision,
    content: version.content,
    missing: version.missing,
    advice: version.advice,
  });
  const [fields, setFields] = useState<DraftFields>(() => fieldsOf(version.content, alwaysStop));
  const [dialog, setDialog] = useState<"put in force" | "discard" | null>(null);
  const save = useMutation(trpc.protocol.saveDraft.mutationOptions());
  const putInForce = useMutation(trpc.protocol.putInForce.mutationOptions());
  const discard = useMutation(trpc.protocol.discardDraft.mutationOptions());

  const content = contentOf(fields);
  const unsaved = JSON.stringify(content) !== JSON.stringify(contentOf(fieldsOf(saved.content, alwaysStop)));
  useLeaveGuard(unsaved);
  const failure = save.error === null ? null : failureOf(save.error);
  const theirs = save.error === null ? null : changedMeanwhile(save.error, savedMeanwhile);
  const errors = theirs === null ? errorsByField(failure?.fields ?? {}) : {};
  const set = (change: Partial<DraftFields>) => setFields((now) => ({ ...now, ...change }));

  const saveAt = async (revision: number) => {
    const answer = await save.mutateAsync({ studyId, protocolId, revision, content });
    setSaved({
      ...answer,
      content: { ...content, stopCriteria: [alwaysStop, ...linesOf(fields.stopCriteria)] },
    });
    await queries.invalidateQueries({ queryKey: trpc.protocol.pathKey() });
    return answer;
  };
  // What went wrong is kept by the mutation and shown beside the fields.
  const saveNow = (revision: number) => saveAt(revision).catch(() => undefined);
  const leave = async () => {
    await Promise.all([
      queries.invalidateQueries({ queryKey: trpc.protocol.pathKey() }),
      queries.invalidateQueries({ queryKey: trpc.study.pathKey() }),
    ]);
    router.push(`/studies/${studyId}/protocol`);
  };

  return (
    <>
      {theirs !== null && (
        <UnsavedConflict
          record="this draft"
          fields={conflictRows(
            { ...saved.content, ...content } as Content,
            theirs.content,
            version.reportingItems,
          )}
          onKeepMine={() => saveNow(theirs.revision)}
          onTakeTheirs={() => {
            save.reset();
            setFields(fieldsOf(theirs.content, alwaysStop));
            setSaved((now) => ({ ...now, revision: theirs.revision, content: theirs.content }));
          }}
          pending={save.isPending}
        />
      )}
      <FieldErrors
        errors={Object.entries(errors).map(([path, message]) => ({
          fieldId: path,
          label: labelOf(path),
          message,
        }))}
      />
      {saved.missing.length > 0 && (
        <section aria-labelledby="missing">
          <SectionHeading
            id="missing"
            explanation="As of the last save. A draft may stay incomplete as long as you like."
          >
            Before it can be put in force
          </SectionHeading>
          <ul>
            {saved.missing.map((item) => (
              <li key={item.message}>
                <a href={`#${item.path}`}>{item.message}</a>
              </li>
            ))}
          </ul>
        </section>
      )}
      {saved.advice.length > 0 && (
        <section aria-labelledby="advice">
          <SectionHeading id="advice">Worth a second look</SectionHeading>
          <ul>
            {saved.advice.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </section>
      )}
      <SectionHeading explanation="The timed parts of one trial. Comparisons run from the start of the first exercise phase.">
        Phases
      </SectionHeading>
      {content.phases.length > 0 && <PhaseStrip phases={content.phases} />}
      <PhaseList phases={fields.phases} onChange={(phases) => set({ phases })} errors={errors} />
      <Textarea
        mt="md"
        label="Exercise load"
        description="What is done, how hard, how it is set: for instance step height and steps per minute."
        autosize
        minRows={2}
        maxRows={10}
        maw={720}
        value={fields.exerciseLoad}
        onChange={(event) => set({ exerciseLoad: event.currentTarget.value })}
        error={errors.exerciseLoad}
      />
      <SectionHeading explanation="What is deliberately varied between trials, and how often a volunteer does each.">
        Conditions
      </SectionHeading>
      <ConditionList
        conditions={fields.conditions}
        onChange={(conditions) => set({ conditions })}
        errors={errors}
      />
      <div className={classes.under}>
        <NumberField
          id="occasions"
          label="Occasions per condition"
          digits={0}
          value={fields.occasions}
          onChange={(occasions) => set({ occasions })}
          error={errors.occasions}
        />
      </div>
      <SectionHeading explanation="Left and right are the volunteer's own. Mean skin temperature and heat need means or contact points.">
        Regions to record
      </SectionHeading>
      <RegionChoice regions={fields.regions} onChange={(regions) => set({ regions })} />
      <SectionHeading explanation="A trial outside these limits is marked. Empty means no limit; the air temperature needs both.">
        Room limits
      </SectionHeading>
      <RoomFields value={fields.roomLimits} onChange={(roomLimits) => set({ roomLimits })} errors={errors} />
      <SectionHeading explanation="What published guidance asks to be reported of skin thermography. Everything here may stay empty; each trial records what was done on its day.">
        Imaging set-up
      </SectionHeading>
      <ImagingFields
        value={fields.imaging}
        onChange={(imaging) => set({ imaging })}
        errors={errors}
        items={version.reportingItems}
      />
      <SectionHeading>Pre-visit rules</SectionHeading>
      <Textarea
        id="preVisitRules"
        label="Pre-visit rules"
        description="One per line: meals, coffee, tobacco, exercise, creams, clothing, time of day."
        autosize
        minRows={3}
        maxRows={20}
        maw={720}
        value={fields.preVisitRules}
        onChange={(event) => set({ preVisitRules: event.currentTarget.value })}
        error={errors.preVisitRules}
      />
      <SectionHeading>Stop criteria</SectionHeading>
      <StopCriteriaFields
        alwaysStop={alwaysStop}
        offered={version.offeredStopCriteria}
        value={fields.stopCriteria}
        onChange={(stopCriteria) => set({ stopCriteria })}
        error={errors.stopCriteria}
      />
      <SectionHeading explanation="Written down before the data are seen; everything else is exploratory.">
        Planned outcomes
      </SectionHeading>
      <Textarea
        id="plannedOutcomes"
        label="Planned outcomes"
        description="One per line, the most important first."
        autosize
        minRows={3}
        maxRows={20}
        maw={720}
        value={fields.plannedOutcomes}
        onChange={(event) => set({ plannedOutcomes: event.currentTarget.value })}
        error={errors.plannedOutcomes}
      />
      <SaveBar
        state={
          failure !== null && theirs === null ? (
            <Text role="alert" c="var(--mantine-color-error)" inherit>
              Not saved. {failure.message}
            </Text>
          ) : unsaved ? (
            "Unsaved changes"
          ) : (
            "Everything is saved."
          )
        }
      >
        <Button
          variant="filled"
          loading={save.isPending}
          disabled={theirs !== null}
          onClick={() => saveNow(saved.revision)}
        >
          Save draft
        </Button>
        <Button disabled={theirs !== null || save.isPending} onClick={() => setDialog("put in force")}>
          Put in force
        </Button>
        <Button variant="subtle" disabled={save.isPending} onClick={() => setDialog("discard")}>
          Discard draft
        </Button>
      </SaveBar>
      <ConfirmDialog
        opened={dialog === "put in force"}
        onClose={() => setDialog(null)}
        title={`Put version ${version.version} in force?`}
        confirmLabel="Put in force"
        onConfirm={async () => {
          const { revision } = unsaved ? await saveAt(saved.revision) : saved;
          await putInForce.mutateAsync({ studyId, protocolId, revision });
          await leave();
        }}
      >
        From then on this version never changes: a change is a new version. A version in force until now is
        retired, and trials already planned under it stay with it. Local codes, the ethics body's decision and
        licensed practice prevail.
      </ConfirmDialog>
      <ConfirmDialog
        opened={dialog === "discard"}
        onClose={() => setDialog(null)}
        title={`Discard the draft of version ${version.version}?`}
        confirmLabel="Discard draft"
        cancelLabel="Keep it"
        stops
        onConfirm={async () => {
          await discard.mutateAsync({ studyId, protocolId, revision: saved.revision });
          await leave();
        }}
      >
        What was written in it is gone. A version in force stays as it is.
      </ConfirmDialog>
    </>
  );
}

/** What the screen calls the field at a path of the content. */
function labelOf(path: string): string {
  const [part, index] = path.split(".");
  const names: Readonly<Record<string, string>> = {
    phases: "Phase",
    conditions: "Condition",
    regions: "Region",
    occasions: "Occasions per condition",
    exerciseLoad: "Exercise load",
    roomLimits: "Room limits",
    imaging: "Imaging set-up",
    preVisitRules: "Pre-visit rules",
    stopCriteria: "Stop criteria",
    plannedOutcomes: "Planned outcomes",
  };
  const name = names[part ?? ""] ?? path;
  return index !== undefined && /^\d+$/.test(index) ? `${name} ${Number(index) + 1}` : name;
}
