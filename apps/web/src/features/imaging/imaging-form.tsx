"use client";

import { Button, NativeSelect, Text, Textarea, TextInput } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { z } from "zod";
import { NumberField } from "@/components/number-field";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { useLeaveGuard } from "@/components/use-leave-guard";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";
import classes from "./imaging.module.css";
import type { ImagingRecord, TrialImaging } from "./imaging-words";
import { NotApplicableFields } from "./not-applicable-fields";
import {
  cameraNumbers,
  cameraUnit,
  deviations,
  inViewWords,
  type NumberRow,
  positionNumbers,
  recordItems,
  referenceNumber,
  regionTexts,
  sameRecord,
  type TextRow,
  volunteerTexts,
} from "./record-fields";

/** The record comes from the same server that checks every record; only its outline is looked at here. */
const savedMeanwhile = z.object({
  revision: z.number(),
  record: z.custom<ImagingRecord>(
    (value) => typeof value === "object" && value !== null && "notApplicable" in value,
  ),
});

interface ImagingFormProps {
  readonly trialId: string;
  readonly imaging: TrialImaging;
  /** What the form begins with: the record, or what the protocol plans. */
  readonly from: ImagingRecord;
  readonly onSaved: () => Promise<void>;
  readonly onCancel: () => void;
}

/** The imaging record of one trial; two people at once are told of each other. */
export function ImagingForm({ trialId, imaging, from, onSaved, onCancel }: ImagingFormProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const save = useMutation(trpc.imaging.save.mutationOptions());
  const [revision, setRevision] = useState(imaging.revision);
  const [base, setBase] = useState(from);
  const [record, setRecord] = useState(from);
  const unsaved = !sameRecord(record, base);
  useLeaveGuard(unsaved);
  const failure = save.error === null ? null : failureOf(save.error);
  const theirs = save.error === null ? null : changedMeanwhile(save.error, savedMeanwhile);
  const errors = failure?.fields ?? {};
  const set = (change: Partial<ImagingRecord>) => setRecord((now) => ({ ...now, ...change }));
  const send = (at: number) =>
    save.mutate({ studyId, trialId, revision: at, record }, { onSuccess: () => onSaved() });
  const planned = (name: keyof ImagingRecord) => {
    const plan = imaging.asPlanned[name];
    return plan !== null && plan !== record[name]
      ? `The protocol says ${String(plan).replace("-", "−")}`
      : null;
  };

  const numberField = ({ name, label, unit, digits }: NumberRow) => {
    const said = planned(name);
    return (
      <NumberField
        key={name}
        label={label}
        {...(unit === "" ? {} : { unit })}
        digits={Math.max(digits, 2)}
        width={190}
        value={record[name]}
        onChange={(value) => set({ [name]: value })}
        error={errors[`record.${name}`]}
        doubt={
          said === null || record[name] === null ? undefined : `${said}${unit === "" ? "" : ` ${unit}`}.`
        }
      />
    );
  };
  const textField = ({ name, label, description }: TextRow) => (
    <Textarea
      key={name}
      label={label}
      {...(description === undefined ? {} : { description })}
      autosize
      minRows={1}
      maxRows={10}
      maw={640}
      value={record[name]}
      onChange={(event) => set({ [name]: event.currentTarget.value })}
      error={errors[`record.${name}`]}
    />
  );
  const marked = Object.keys(errors).some((path) => path.startsWith("record."));

  return (
    <>
      {theirs !== null && (
        <UnsavedConflict
          record="the imaging record"
          fields={differing(record, theirs.record, imaging)}
          onKeepMine={() => send(theirs.revision)}
          onTakeTheirs={() => {
            setRecord(theirs.record);
            setBase(theirs.record);
            setRevision(theirs.revision);
            save.reset();
          }}
          pending={save.isPending}
        />
      )}
      <form
        className={classes.groups}
        aria-label="Imaging record"
        noValidate
        onSubmit={(event: FormEvent) => {
          event.preventDefault();
          send(revision);
        }}
      >
        <fieldset className={classes.group}>
          <legend>Camera</legend>
          {textField(cameraUnit)}
          <div className={classes.fields}>{cameraNumbers.map(numberField)}</div>
          <div className={classes.fields}>
            <NativeSelect
              label="Reference source"
              w={190}
              value={record.referenceInView === null ? "" : String(record.referenceInView)}
              data={[
                { value: "", label: "not recorded" },
                { value: "true", label: inViewWords(true) },
                { value: "false", label: inViewWords(false) },
              ]}
              onChange={({ currentTarget: { value } }) =>
                set({ referenceInView: value === "" ? null : value === "true" })
              }
            />
            {numberField(referenceNumber)}
          </div>
        </fieldset>
        <fieldset className={classes.group}>
          <legend>Position and time</legend>
          <div className={classes.fields}>
            {positionNumbers.map(numberField)}
            <TextInput
              type="time"
              label="Time of day"
              w={190}
              value={record.timeOfDay ?? ""}
              onChange={({ currentTarget: { value } }) =>
                set({ timeOfDay: value === "" ? null : value.slice(0, 5) })
              }
              error={errors["record.timeOfDay"]}
            />
          </div>
          <p className={classes.help}>
            The angle counts from the perpendicular: 0° is straight onto the skin. The time of day is that of
            the first image.
          </p>
        </fieldset>
        <fieldset className={classes.group}>
          <legend>Volunteer and skin</legend>
          {volunteerTexts.map(textField)}
        </fieldset>
        <fieldset className={classes.group}>
          <legend>Regions and deviations</legend>
          {regionTexts.map(textField)}
          {textField(deviations)}
        </fieldset>
        <NotApplicableFields
          items={imaging.items}
          value={record.notApplicable}
          onChange={(notApplicable) => set({ notApplicable })}
          errors={Object.fromEntries(
            imaging.items.map(({ key }) => [key, errors[`record.notApplicable.${key}`] ?? ""]),
          )}
        />
        <div className={classes.buttons}>
          <Button type="submit" variant="filled" loading={save.isPending} disabled={theirs !== null}>
            Save the imaging record
          </Button>
          <Button onClick={onCancel} disabled={save.isPending}>
            {unsaved ? "Drop what was entered" : "Close"}
          </Button>
          <Text component="span" role="status" c="dimmed">
            {imaging.record === null || unsaved ? "Not saved yet." : ""}
          </Text>
        </div>
        {failure !== null && theirs === null && (
          <Text role="alert" c="var(--mantine-color-error)">
            {marked
              ? "Not saved yet: mend what is marked above."
              : `${failure.message} What you entered is still here.`}
          </Text>
        )}
      </form>
    </>
  );
}

function differing(mine: ImagingRecord, theirs: ImagingRecord, { items }: TrialImaging) {
  const others = recordItems(theirs, items);
  return recordItems(mine, items).flatMap(({ name, label, value }) => {
    const other = others.find((item) => item.name === name)?.value ?? "";
    return other === value ? [] : [{ label, mine: value || "–", theirs: other || "–" }];
  });
}
