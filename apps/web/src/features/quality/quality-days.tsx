"use client";

import { SegmentedControl } from "@mantine/core";
import { useState } from "react";
import { DayFigure } from "@/charts/day-figure";
import type { DayGroup, DayPoint } from "@/charts/days";
import { seriesSign } from "@/charts/series-sign";
import type { Outputs } from "@/trpc/outputs";
import classes from "./quality.module.css";

type Recording = Outputs["quality"]["ofStudy"]["recordings"][number];

interface Shown {
  readonly label: string;
  readonly quantity: string;
  readonly unit: string;
  readonly digits: number;
  readonly of: (recording: Recording) => number | null;
  /** What a point at zero, or no point, means. */
  readonly note: string;
}

const shown = {
  step: {
    label: "Steps",
    quantity: "Largest step common to all regions",
    unit: "°C",
    digits: 2,
    of: ({ stepC }) => stepC ?? 0,
    note: "A point at zero is a recording in which no step was found.",
  },
  drift: {
    label: "Drifts",
    quantity: "Drift common to most regions",
    unit: "°C",
    digits: 2,
    of: ({ driftC, referenceC }) => referenceC ?? driftC ?? 0,
    note: "Against a reference surface where one was in view. A point at zero is a recording in which no drift was found.",
  },
  missing: {
    label: "Missing values",
    quantity: "Share of values that are missing",
    unit: "%",
    digits: 1,
    of: ({ missingShare }) => (missingShare === null ? null : missingShare * 100),
    note: "Of all values of all regions in the file.",
  },
  spikes: {
    label: "Spikes",
    quantity: "Spikes",
    unit: "",
    digits: 0,
    of: ({ spikes }) => spikes,
    note: "Over all regions of the file.",
  },
} as const satisfies Readonly<Record<string, Shown>>;

type Which = keyof typeof shown;
const order: readonly Which[] = ["step", "drift", "missing", "spikes"];

/** Kinds of file are told apart up to this many; the rest is one group, because signs run out. */
const mostGroups = 5;
const others = "other kinds of file";

interface QualityDaysProps {
  readonly recordings: readonly Recording[];
  readonly filtered: boolean;
}

/** One point per source file over the days of recording. */
export function QualityDays({ recordings, filtered }: QualityDaysProps) {
  const [which, setWhich] = useState<Which>("step");
  const { label, quantity, unit, digits, of, note } = shown[which];
  const names = byFrequency(recordings.map(nameOfGroup));
  const kept = names.length > mostGroups ? [...names.slice(0, mostGroups - 1), others] : names;
  const groups: DayGroup[] = kept.map((name, index) => ({ id: name, label: name, sign: seriesSign(index) }));
  const points = recordings.flatMap((recording): DayPoint[] => {
    const value = of(recording);
    if (value === null) return [];
    const name = nameOfGroup(recording);
    return [
      {
        id: recording.sourceFileId,
        day: recording.day,
        label: `${recording.label}, ${recording.fileName}`,
        group: kept.includes(name) ? name : others,
        value,
      },
    ];
  });
  const byUpload = recordings.filter(({ dayFromUpload }) => dayFromUpload).length;
  return (
    <section className={classes.days} aria-label="By day of recording">
      <div className={classes.view} data-screen-only>
        <SegmentedControl
          aria-label="What is shown by day"
          value={which}
          onChange={setWhich}
          data={order.map((value) => ({ value, label: shown[value].label }))}
        />
      </div>
      <DayFigure
        title={`${quantity}, by day of recording${filtered ? ", of the trials that match" : ""}`}
        description={`${label} of ${points.length} source files over ${new Set(points.map(({ day }) => day)).size} days of recording. The numbers are in the table below the figure.`}
        fileName={`quality-${which}-by-day`}
        points={points}
        groups={groups}
        quantity={quantity}
        unit={unit}
        digits={digits}
        note={
          <>
            <p>One point per source file; the grey line is the median of its day. {note}</p>
            {byUpload > 0 && (
              <p>
                {byUpload === 1 ? "1 file does" : `${byUpload} files do`} not say when{" "}
                {byUpload === 1 ? "it was" : "they were"} recorded: the day of upload stands for it.
              </p>
            )}
          </>
        }
      />
    </section>
  );
}

const nameOfGroup = ({ layout }: Recording) => layout ?? "kind of file without a name";

/** Each name once, the most frequent first. */
function byFrequency(names: readonly string[]): string[] {
  const counts = new Map<string, number>();
  for (const name of names) counts.set(name, (counts.get(name) ?? 0) + 1);
  return [...counts].sort(([a, n], [b, m]) => m - n || a.localeCompare(b)).map(([name]) => name);
}
