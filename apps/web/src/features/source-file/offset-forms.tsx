"use client";

import { Button, NativeSelect, TextInput } from "@mantine/core";
import { z } from "zod";
import { NumberField } from "@/components/number-field";
import { useKeptEntry } from "@/components/use-kept-entry";
import type { PlacingProps } from "./file-clock";
import classes from "./source-file.module.css";

/** Both files say when they began: what each says, and the offset that follows. */
export function ByAbsoluteTime({ clock, pending, onPlace }: PlacingProps) {
  return (
    <ul className={classes.replaced}>
      {clock.others.map((other) => (
        <li key={other.sourceFileId}>
          {other.byAbsoluteTime.kind === "unknown" ? (
            <p>
              With {other.name}: not possible. {other.byAbsoluteTime.reason}
            </p>
          ) : (
            <>
              <p>
                This file began at {clock.startedAt}; {other.name} began at {other.startedAt} and lies at{" "}
                <span className="numbers">{other.offsetS} s</span>.
              </p>
              <Button
                loading={pending}
                disabled={other.byAbsoluteTime.offsetS === clock.offsetS}
                onClick={() => onPlace({ kind: "absolute time", otherFileId: other.sourceFileId })}
              >
                {other.byAbsoluteTime.offsetS === clock.offsetS
                  ? "It lies there already"
                  : `Place it at ${other.byAbsoluteTime.offsetS} s`}
              </Button>
            </>
          )}
        </li>
      ))}
    </ul>
  );
}

const eventEntry = z.object({
  event: z.string(),
  hereS: z.number().nullable(),
  thereS: z.number().nullable(),
  other: z.string(),
});

/** The same event in both: its time in each. */
export function BySameEvent({ clock, pending, errors, onPlace }: PlacingProps) {
  const { entry, change, forget, restored } = useKeptEntry(
    `same event ${clock.sourceFileId}`,
    { event: "", hereS: null, thereS: null, other: clock.others[0]?.sourceFileId ?? "" },
    eventEntry,
  );
  const other = clock.others.find(({ sourceFileId }) => sourceFileId === entry.other) ?? null;
  const { hereS, thereS } = entry;
  const complete = hereS !== null && thereS !== null && entry.event.trim() !== "";
  const offsetS =
    hereS === null || thereS === null
      ? null
      : Math.round(((other?.offsetS ?? 0) + thereS - hereS) * 1000) / 1000;
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!complete) return;
        onPlace({
          kind: "same event",
          event: entry.event,
          hereS,
          thereS,
          otherFileId: other?.sourceFileId ?? null,
        });
        forget();
      }}
    >
      <div className={classes.fields}>
        <TextInput
          label="What both saw"
          description="Such as “the light went out”."
          value={entry.event}
          onChange={(event) => change({ ...entry, event: event.currentTarget.value })}
          error={errors["method.event"]}
          maxLength={120}
        />
        <NumberField
          label="At, in this file"
          description="Seconds from the file's own zero."
          unit="s"
          digits={3}
          value={hereS}
          onChange={(value) => change({ ...entry, hereS: value })}
          error={errors["method.hereS"]}
        />
        <NativeSelect
          label="Seen also in"
          description="Or known on the trial's clock."
          data={[
            ...clock.others.map(({ sourceFileId, name }) => ({ value: sourceFileId, label: name })),
            { value: "", label: "the trial's clock" },
          ]}
          value={other?.sourceFileId ?? ""}
          onChange={(event) => change({ ...entry, other: event.currentTarget.value })}
        />
        <NumberField
          label={other === null ? "At, on the trial's clock" : "At, in the other file"}
          description={other === null ? markersText(clock.markers) : "Seconds from that file's own zero."}
          unit="s"
          digits={3}
          value={thereS}
          onChange={(value) => change({ ...entry, thereS: value })}
          error={errors["method.thereS"]}
        />
      </div>
      <div className={classes.row}>
        <Button type="submit" loading={pending} disabled={!complete}>
          {offsetS === null ? "Place the file" : `Place it at ${offsetS} s`}
        </Button>
        {restored && (
          <span className={classes.quiet}>As you had entered it before the page was loaded anew.</span>
        )}
      </div>
    </form>
  );
}

function markersText(markers: PlacingProps["clock"]["markers"]): string {
  if (markers.length === 0) return "No marker is placed yet.";
  return `Markers: ${markers
    .slice(0, 6)
    .map(({ name, atS }) => `${name} ${atS} s`)
    .join(", ")}`;
}

const statedEntry = z.object({ offsetS: z.number().nullable(), reason: z.string() });

export function ByStatedOffset({ clock, pending, errors, onPlace }: PlacingProps) {
  const { entry, change, forget, restored } = useKeptEntry(
    `stated offset ${clock.sourceFileId}`,
    { offsetS: clock.offsetS, reason: "" },
    statedEntry,
  );
  const { offsetS } = entry;
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (offsetS === null) return;
        onPlace({ kind: "stated", offsetS, reason: entry.reason });
        forget();
      }}
    >
      <div className={classes.fields}>
        <NumberField
          label="The file's zero, on the trial's clock"
          unit="s"
          digits={3}
          value={offsetS}
          onChange={(value) => change({ ...entry, offsetS: value })}
          error={errors["method.offsetS"]}
        />
        <TextInput
          label="How it is known"
          value={entry.reason}
          onChange={(event) => change({ ...entry, reason: event.currentTarget.value })}
          error={errors["method.reason"]}
          maxLength={500}
        />
      </div>
      <div className={classes.row}>
        <Button type="submit" loading={pending} disabled={offsetS === null || offsetS === clock.offsetS}>
          Move the file
        </Button>
        {restored && (
          <span className={classes.quiet}>As you had entered it before the page was loaded anew.</span>
        )}
      </div>
    </form>
  );
}
