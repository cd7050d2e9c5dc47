"use client";

import { NativeSelect, TextInput } from "@mantine/core";
import { useState } from "react";
import { NumberField } from "@/components/number-field";
import { type Choices, oneOf, type TimeOfMap } from "./column-map";
import classes from "./source-file.module.css";

const timeFormatNames: Readonly<Record<TimeOfMap["format"], string>> = {
  number: "a number that counts from the start",
  elapsed: "hours:minutes:seconds from the start",
  clock: "time of day",
  "date and time": "date and time",
  "spreadsheet serial": "days, as spreadsheets count",
  unix: "time since 1970",
  "frame number": "frame number",
};

interface TimeFieldsProps {
  readonly time: TimeOfMap;
  readonly choices: Choices;
  readonly onChange: (time: TimeOfMap) => void;
}

/** How the time column is written. Only what its format needs is asked for. */
export function TimeFields({ time, choices, onChange }: TimeFieldsProps) {
  const { format } = time;
  const counts = format === "number" || format === "unix";
  const dated = format === "date and time";
  /** Counted from the file's zero, which the column does not place on a clock. */
  const fromZero = format === "number" || format === "elapsed" || format === "frame number";
  return (
    <div className={classes.fields}>
      <NativeSelect
        label="Time is written as"
        data={choices.timeFormats.map((value) => ({ value, label: timeFormatNames[value] }))}
        value={format}
        onChange={(event) => {
          const next = oneOf(choices.timeFormats, event.currentTarget.value);
          if (next !== null) onChange({ ...time, format: next });
        }}
      />
      {counts && (
        <NativeSelect
          label="Unit of time"
          data={[...choices.timeUnits]}
          value={time.unit}
          onChange={(event) => {
            const unit = oneOf(choices.timeUnits, event.currentTarget.value);
            if (unit !== null) onChange({ ...time, unit });
          }}
        />
      )}
      {format === "frame number" && (
        <NumberField
          label="Frame rate"
          unit="/s"
          digits={4}
          value={time.frameRate}
          onChange={(frameRate) => onChange({ ...time, frameRate: frameRate === 0 ? null : frameRate })}
          error={time.frameRate === null ? "Frames have a time only with their rate." : null}
          width={140}
        />
      )}
      {dated && (
        <NativeSelect
          label="Order of the date"
          data={[...choices.dateOrders]}
          value={time.dateOrder}
          onChange={(event) => {
            const dateOrder = oneOf(choices.dateOrders, event.currentTarget.value);
            if (dateOrder !== null) onChange({ ...time, dateOrder });
          }}
        />
      )}
      {fromZero && (
        <TextInput
          type="time"
          step={1}
          label="Time of day at zero"
          description="Empty when not known."
          value={time.clock ?? ""}
          onChange={(event) => onChange(withClock(time, event.currentTarget.value))}
        />
      )}
      {(format === "clock" || (fromZero && time.clock !== null)) && (
        <TextInput
          type="date"
          label="Day of the recording"
          value={time.date ?? ""}
          onChange={(event) =>
            onChange({ ...time, date: event.currentTarget.value === "" ? null : event.currentTarget.value })
          }
        />
      )}
      {format === "spreadsheet serial" && (
        <NativeSelect
          label="Days count from"
          data={["1900", "1904"]}
          value={String(time.serialEpoch)}
          onChange={(event) =>
            onChange({ ...time, serialEpoch: event.currentTarget.value === "1904" ? 1904 : 1900 })
          }
        />
      )}
      {(dated || format === "clock" || (fromZero && time.clock !== null)) && (
        <ZoneField zone={time.zone} onChange={(zone) => onChange({ ...time, zone })} />
      )}
    </div>
  );
}

/** A day without the time of day would place nothing. Browsers leave seconds out when they are zero. */
function withClock(time: TimeOfMap, typed: string): TimeOfMap {
  if (typed === "") return { ...time, clock: null, date: null };
  return { ...time, clock: typed.length === "hh:mm".length ? `${typed}:00` : typed };
}

interface ZoneFieldProps {
  readonly zone: string | null;
  readonly onChange: (zone: string | null) => void;
}

function ZoneField({ zone, onChange }: ZoneFieldProps) {
  const [typed, setTyped] = useState(zone ?? "");
  const valid = typed === "" || /^(Z|[+-]\d{2}:\d{2})$/.test(typed);
  return (
    <TextInput
      label="Offset from UTC"
      description="Such as +01:00 or Z; empty when not known."
      value={typed}
      onChange={(event) => {
        const text = event.currentTarget.value.trim();
        setTyped(text);
        if (text === "") onChange(null);
        else if (/^(Z|[+-]\d{2}:\d{2})$/.test(text)) onChange(text);
      }}
      error={valid ? null : "Write it as +01:00, −05:30 (with a plain minus) or Z."}
      w={220}
    />
  );
}
