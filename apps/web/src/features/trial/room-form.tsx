"use client";

import { Button, Text } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { z } from "zod";
import { KeyValueList } from "@/components/key-value-list";
import { NumberField } from "@/components/number-field";
import { Quantity } from "@/components/quantity";
import { SectionHeading } from "@/components/section-heading";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { useLeaveGuard } from "@/components/use-leave-guard";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";
import { useRefreshTrial } from "./refresh-trial";
import classes from "./trial.module.css";
import { canEdit, type Trial } from "./trial-words";

type Room = Trial["room"];

const roomFields = [
  { key: "airTemperatureC", label: "Air temperature", unit: "°C", digits: 1 },
  { key: "meanRadiantTemperatureC", label: "Mean radiant temperature", unit: "°C", digits: 1 },
  { key: "relativeHumidityPct", label: "Relative humidity", unit: "%", digits: 0 },
  { key: "airSpeedMS", label: "Air speed", unit: "m/s", digits: 2 },
] as const satisfies readonly { key: keyof Room; label: string; unit: string; digits: number }[];

const number = z.number().nullable();
const saved = z.object({
  revision: z.number(),
  room: z.object({
    airTemperatureC: number,
    meanRadiantTemperatureC: number,
    relativeHumidityPct: number,
    airSpeedMS: number,
  }),
});

const same = (a: Room, b: Room) => roomFields.every(({ key }) => a[key] === b[key]);

/** The room as it was measured; what is outside the protocol's limits is said, not refused. */
export function RoomForm({ trial }: { readonly trial: Trial }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const save = useMutation(trpc.trial.saveRoom.mutationOptions());
  const [room, setRoom] = useState<Room>(trial.room);
  const [base, setBase] = useState({ room: trial.room, revision: trial.revision });
  // The trial changed elsewhere, the room did not, or nothing is typed here: nothing to compare.
  if (base.revision < trial.revision && (same(base.room, trial.room) || same(room, base.room))) {
    if (same(room, base.room)) setRoom(trial.room);
    setBase({ room: trial.room, revision: trial.revision });
  }
  const unsaved = !same(room, base.room);
  useLeaveGuard(unsaved);

  const heading = (
    <SectionHeading explanation="As measured beside the volunteer, during the trial.">Room</SectionHeading>
  );
  const outside = (key: keyof Room) => trial.roomOutside.find(({ field }) => field === key)?.message;
  if (!may("trial.saveRoom") || !canEdit(trial)) {
    return (
      <section className={classes.section}>
        {heading}
        <KeyValueList
          columns={2}
          items={roomFields.map(({ key, label, unit, digits }) => {
            const note = outside(key);
            return {
              label,
              value: <Quantity value={trial.room[key]} unit={unit} digits={digits} />,
              ...(note === undefined ? {} : { note }),
            };
          })}
        />
      </section>
    );
  }

  const failure = save.error === null ? null : failureOf(save.error);
  const theirs = save.error === null ? null : changedMeanwhile(save.error, saved);
  const errors = failure?.fields ?? {};
  const send = (revision: number) =>
    save.mutate(
      { studyId, trialId: trial.trialId, revision, room },
      {
        onSuccess: async (result) => {
          setBase({ room, revision: result.revision });
          await refresh();
        },
        onError: (error) => {
          // Something else of the trial was saved meanwhile, and the room was not: there is nothing to compare.
          const current = changedMeanwhile(error, saved);
          if (current !== null && same(current.room, base.room)) send(current.revision);
        },
      },
    );
  const submit = (event: FormEvent) => {
    event.preventDefault();
    send(base.revision);
  };
  return (
    <section className={classes.section}>
      {heading}
      {theirs !== null && (
        <UnsavedConflict
          record="the room"
          fields={roomFields
            .filter(({ key }) => theirs.room[key] !== room[key])
            .map(({ key, label, unit, digits }) => ({
              label,
              mine: <Quantity value={room[key]} unit={unit} digits={digits} />,
              theirs: <Quantity value={theirs.room[key]} unit={unit} digits={digits} />,
            }))}
          onKeepMine={() => send(theirs.revision)}
          onTakeTheirs={async () => {
            setRoom(theirs.room);
            setBase({ room: theirs.room, revision: theirs.revision });
            save.reset();
            await refresh();
          }}
          pending={save.isPending}
        />
      )}
      <form onSubmit={submit} noValidate>
        <div className={classes.fields}>
          {roomFields.map(({ key, label, unit }) => (
            <NumberField
              key={key}
              label={label}
              unit={unit}
              value={room[key]}
              onChange={(value) => setRoom({ ...room, [key]: value })}
              error={errors[`room.${key}`]}
              doubt={room[key] === trial.room[key] ? outside(key) : undefined}
              width={168}
            />
          ))}
        </div>
        <div className={classes.row}>
          <Button type="submit" loading={save.isPending} disabled={!unsaved && theirs === null}>
            Save the room
          </Button>
          <Text component="span" role="status" className={classes.quiet}>
            {unsaved ? "Not saved yet." : ""}
          </Text>
        </div>
        {failure !== null && theirs === null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message} What you entered is still here.
          </Text>
        )}
      </form>
    </section>
  );
}
