"use client";

import { ActionIcon, Button, NativeSelect, Text, TextInput } from "@mantine/core";
import { IconTrash } from "@tabler/icons-react";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useRef, useState } from "react";
import { z } from "zod";
import { NumberField } from "@/components/number-field";
import { SectionHeading } from "@/components/section-heading";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { useLeaveGuard } from "@/components/use-leave-guard";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";
import { useRefreshTrial } from "./refresh-trial";
import classes from "./trial.module.css";
import { canEdit, type MarkerRow, type Trial } from "./trial-words";

/** A marker as the form holds it: its time may still be empty. */
interface Row {
  readonly id: number;
  readonly name: string;
  readonly phaseKey: string | null;
  readonly atS: number | null;
}

const savedMarkers = z.object({
  revision: z.number(),
  markers: z.array(z.object({ name: z.string(), phaseKey: z.string().nullable(), atS: z.number() })),
});

const rowsOf = (markers: readonly MarkerRow[]): Row[] => markers.map((marker, id) => ({ id, ...marker }));
const textOf = (markers: readonly { name: string; phaseKey: string | null; atS: number | null }[]) =>
  JSON.stringify(markers.map(({ name, phaseKey, atS }) => [name, phaseKey, atS]));
const listed = (markers: readonly { name: string; atS: number | null }[]) =>
  markers.length === 0 ? "none" : markers.map(({ name, atS }) => `${name} ${atS ?? "?"} s`).join(", ");

interface MarkerEditorProps {
  readonly trial: Trial;
  /** A moment that was pointed at in the figure. */
  readonly pickedS: number | null;
  readonly onPicked: () => void;
}

/** The named moments of a trial; phases begin at markers. */
export function MarkerEditor({ trial, pickedS, onPicked }: MarkerEditorProps) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const save = useMutation(trpc.trial.saveMarkers.mutationOptions());
  const [rows, setRows] = useState(rowsOf(trial.markers));
  const [base, setBase] = useState({ markers: trial.markers, revision: trial.revision });
  const [startS, setStartS] = useState<number | null>(trial.recording?.fromS ?? 0);
  const nextId = useRef(rows.length);
  if (base.revision < trial.revision) {
    const untouched = textOf(rows) === textOf(base.markers);
    if (untouched || textOf(base.markers) === textOf(trial.markers)) {
      if (untouched) setRows(rowsOf(trial.markers));
      setBase({ markers: trial.markers, revision: trial.revision });
    }
  }
  const unsaved = textOf(rows) !== textOf(base.markers);
  useLeaveGuard(unsaved);

  const begins = [
    { value: "", label: "only a moment" },
    ...trial.protocol.phases.map(({ key, name }) => ({ value: key, label: `start of ${name}` })),
    { value: trial.endMarkerKey, label: "end of the last phase" },
  ];
  const heading = (
    <SectionHeading explanation="In seconds on the trial's clock, whose zero is the zero of the first source file. A phase begins at its marker and lasts to the next one.">
      Phases and markers
    </SectionHeading>
  );
  const outside = trial.markersOutside.map((message) => (
    <p key={message} className={classes.doubt} role="status">
      {message}
    </p>
  ));
  if (!may("trial.saveMarkers") || !canEdit(trial)) {
    return (
      <section className={classes.section}>
        {heading}
        {trial.markers.length === 0 ? (
          <p className={classes.quiet}>No marker is placed.</p>
        ) : (
          <div className={classes.scroll}>
            <table className={classes.table} aria-label="Markers">
              <thead>
                <tr>
                  <th scope="col">Marker</th>
                  <th scope="col">Stands for</th>
                  <th scope="col" data-align="right">
                    At, s
                  </th>
                </tr>
              </thead>
              <tbody>
                {trial.markers.map((marker) => (
                  <tr key={marker.name}>
                    <th scope="row">{marker.name}</th>
                    <td>{begins.find(({ value }) => value === (marker.phaseKey ?? ""))?.label}</td>
                    <td data-align="right">{marker.atS}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        )}
        {outside}
      </section>
    );
  }

  const failure = save.error === null ? null : failureOf(save.error);
  const theirs = save.error === null ? null : changedMeanwhile(save.error, savedMarkers);
  const errors = failure?.fields ?? {};
  const unfilled = rows.some((row) => row.atS === null || row.name.trim() === "");
  const change = (id: number, part: Partial<Row>) => {
    save.reset();
    setRows(rows.map((row) => (row.id === id ? { ...row, ...part } : row)));
  };
  const add = (row: Omit<Row, "id">) => {
    save.reset();
    setRows([...rows, { id: nextId.current++, ...row }]);
  };
  const place = (fromS: number) => {
    save.reset();
    const moments = rows.filter((row) => row.phaseKey === null);
    const phases = trial.markersByDurations.map((marker) => ({
      ...marker,
      id: nextId.current++,
      atS: marker.atS + fromS,
    }));
    setRows([...phases, ...moments].sort((a, b) => (a.atS ?? 0) - (b.atS ?? 0)));
  };
  const send = (revision: number) => {
    const markers = rows.flatMap(({ name, phaseKey, atS }) =>
      atS === null ? [] : [{ name, phaseKey, atS }],
    );
    save.mutate(
      { studyId, trialId: trial.trialId, revision, markers },
      {
        onSuccess: async (result) => {
          const sorted = [...markers].sort((a, b) => a.atS - b.atS);
          setRows(rowsOf(sorted));
          nextId.current = sorted.length;
          setBase({ markers: sorted, revision: result.revision });
          await refresh();
        },
        onError: (error) => {
          // Something else of the trial was saved meanwhile, and the markers were not: there is nothing to compare.
          const current = changedMeanwhile(error, savedMarkers);
          if (current !== null && textOf(current.markers) === textOf(base.markers)) send(current.revision);
        },
      },
    );
  };
  const submit = (event: FormEvent) => {
    event.preventDefault();
    send(base.revision);
  };

  return (
    <section className={classes.section}>
      {heading}
      {theirs !== null && (
        <UnsavedConflict
          record="the markers"
          fields={[{ label: "Markers", mine: listed(rows), theirs: listed(theirs.markers) }]}
          onKeepMine={() => send(theirs.revision)}
          onTakeTheirs={async () => {
            setRows(rowsOf(theirs.markers));
            setBase({ markers: theirs.markers, revision: theirs.revision });
            save.reset();
            await refresh();
          }}
          pending={save.isPending}
        />
      )}
      <div className={classes.row}>
        <NumberField
          label="The first phase begins at"
          unit="s"
          digits={3}
          value={startS}
          onChange={setStartS}
          width={168}
        />
        <Button disabled={startS === null} onClick={() => place(startS ?? 0)}>
          Place the phases by the protocol's durations
        </Button>
      </div>
      {pickedS !== null && (
        <div className={classes.row} role="status">
          <span>Pointed at in the figure: {Math.round(pickedS * 10) / 10} s</span>
          <Button
            size="compact-sm"
            onClick={() => {
              place(Math.round(pickedS * 10) / 10);
              onPicked();
            }}
          >
            Place the phases from there
          </Button>
          <Button
            size="compact-sm"
            onClick={() => {
              add({ name: "", phaseKey: null, atS: Math.round(pickedS * 10) / 10 });
              onPicked();
            }}
          >
            Add a marker there
          </Button>
        </div>
      )}
      <form onSubmit={submit} noValidate>
        {rows.length > 0 && (
          <div className={classes.scroll} style={{ marginTop: 12 }}>
            <table className={`${classes.table} ${classes.cards}`} aria-label="Markers">
              <thead>
                <tr>
                  <th scope="col">Marker</th>
                  <th scope="col">Stands for</th>
                  <th scope="col">At</th>
                  <th scope="col">
                    <span className={classes.quiet}>Remove</span>
                  </th>
                </tr>
              </thead>
              <tbody>
                {rows.map((row, index) => (
                  <tr key={row.id}>
                    <td>
                      <TextInput
                        aria-label={`Name of marker ${index + 1}`}
                        value={row.name}
                        onChange={(event) => change(row.id, { name: event.currentTarget.value })}
                        error={errors[`markers.${index}.name`]}
                        miw={120}
                      />
                    </td>
                    <td>
                      <NativeSelect
                        aria-label={`What marker ${index + 1} stands for`}
                        data={begins}
                        value={row.phaseKey ?? ""}
                        onChange={(event) =>
                          change(row.id, {
                            phaseKey: event.currentTarget.value === "" ? null : event.currentTarget.value,
                          })
                        }
                        error={errors[`markers.${index}.phaseKey`]}
                        miw={180}
                      />
                    </td>
                    <td>
                      <NumberField
                        label={`Time of marker ${index + 1}`}
                        labelHidden
                        unit="s"
                        digits={3}
                        value={row.atS}
                        onChange={(atS) => change(row.id, { atS })}
                        error={errors[`markers.${index}.atS`]}
                        width={130}
                      />
                    </td>
                    <td>
                      <ActionIcon
                        aria-label={`Remove marker ${index + 1}${row.name === "" ? "" : `, ${row.name}`}`}
                        onClick={() => {
                          save.reset();
                          setRows(rows.filter((other) => other.id !== row.id));
                        }}
                      >
                        <IconTrash size={18} stroke={1.75} aria-hidden />
                      </ActionIcon>
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        )}
        <div className={classes.row}>
          <Button type="submit" loading={save.isPending} disabled={!unsaved || unfilled || theirs !== null}>
            Save the markers
          </Button>
          <Button variant="subtle" onClick={() => add({ name: "", phaseKey: null, atS: null })}>
            Add a marker
          </Button>
          <Text component="span" role="status" className={classes.quiet}>
            {unsaved ? (unfilled ? "Each marker needs a name and a time." : "Not saved yet.") : ""}
          </Text>
        </div>
        {failure !== null &&
          theirs === null &&
          !Object.keys(errors).some((field) => /^markers\.\d/.test(field)) && (
            <Text role="alert" c="var(--mantine-color-error)">
              {failure.message} Your markers are still here.
            </Text>
          )}
      </form>
      {outside}
    </section>
  );
}
