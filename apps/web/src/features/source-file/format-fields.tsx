"use client";

import { NativeSelect, TextInput } from "@mantine/core";
import { useState } from "react";
import { NumberField } from "@/components/number-field";
import { type Choices, type ColumnMap, markName, oneOf, type Proposal, type TimeOfMap } from "./column-map";
import classes from "./source-file.module.css";

interface FormatFieldsProps {
  readonly map: ColumnMap;
  readonly choices: Choices;
  /** The sheets of a workbook; none for a text. */
  readonly sheets: Proposal["sheets"];
  readonly onChange: (map: ColumnMap) => void;
  /** Another sheet has other columns, which are proposed anew. */
  readonly onSheet: (sheet: string) => void;
  /** Another delimiter makes other columns, which are proposed anew. */
  readonly onDelimiter: (delimiter: ColumnMap["delimiter"]) => void;
}

/** How the file is built: its sheet, or what separates cells; how numbers are written; where the data begin. */
export function FormatFields(props: FormatFieldsProps) {
  const { map, choices, sheets, onChange, onDelimiter, onSheet } = props;
  const isText = map.sheet === null;
  const [words, setWords] = useState(map.missing.words.join(", "));
  const [sentinels, setSentinels] = useState(map.missing.sentinels.join("; "));
  return (
    <div className={classes.fields}>
      {isText ? (
        <NativeSelect
          label="Cells are separated by"
          data={choices.delimiters.map((value) => ({ value, label: markName(value) }))}
          value={map.delimiter}
          onChange={(event) => {
            const delimiter = oneOf(choices.delimiters, event.currentTarget.value);
            if (delimiter !== null) onDelimiter(delimiter);
          }}
        />
      ) : (
        <NativeSelect
          label="Sheet of the workbook"
          data={sheets.map(({ name, hidden }) => ({
            value: name,
            label: hidden ? `${name} (hidden)` : name,
          }))}
          value={map.sheet ?? ""}
          onChange={(event) => onSheet(event.currentTarget.value)}
        />
      )}
      <NativeSelect
        label="Decimal mark"
        data={choices.decimalMarks.map((value) => ({ value, label: markName(value) }))}
        value={map.decimalMark}
        onChange={(event) => {
          const decimalMark = oneOf(choices.decimalMarks, event.currentTarget.value);
          if (decimalMark !== null) onChange({ ...map, decimalMark });
        }}
      />
      <NativeSelect
        label="Digits are grouped by"
        data={[
          { value: "", label: "nothing" },
          ...choices.digitGroupings.map((value) => ({ value, label: markName(value) })),
        ]}
        value={map.digitGrouping ?? ""}
        onChange={(event) =>
          onChange({ ...map, digitGrouping: oneOf(choices.digitGroupings, event.currentTarget.value) })
        }
      />
      {isText && (
        <NativeSelect
          label="Encoding"
          data={[...choices.encodings]}
          value={map.encoding}
          onChange={(event) => {
            const encoding = oneOf(choices.encodings, event.currentTarget.value);
            if (encoding !== null) onChange({ ...map, encoding });
          }}
        />
      )}
      <NumberField
        label={isText ? "First line of data" : "First row of data"}
        digits={0}
        value={map.firstDataLine}
        onChange={(line) => {
          if (line !== null && line >= 1) onChange({ ...map, firstDataLine: line });
        }}
        width={120}
      />
      <TextInput
        label="Words that mean “missing”"
        description="Separated by commas. An empty cell always is."
        value={words}
        onChange={(event) => {
          setWords(event.currentTarget.value);
          const list = event.currentTarget.value.split(",").map((word) => word.trim());
          onChange({ ...map, missing: { ...map.missing, words: list.filter((word) => word !== "") } });
        }}
      />
      <TextInput
        label="Numbers that mean “missing”"
        description="For instance -999; separated by semicolons."
        value={sentinels}
        onChange={(event) => {
          setSentinels(event.currentTarget.value);
          const list = event.currentTarget.value
            .split(";")
            .filter((text) => text.trim() !== "")
            .map((text) => Number(text.trim().replace(",", ".")));
          onChange({ ...map, missing: { ...map.missing, sentinels: list.filter(Number.isFinite) } });
        }}
      />
      <NativeSelect
        label="A cell that is no number"
        data={[
          { value: "missing", label: "counts as missing, and is listed" },
          { value: "refuse", label: "refuses the file" },
        ]}
        value={map.unreadable}
        onChange={(event) =>
          onChange({ ...map, unreadable: event.currentTarget.value === "refuse" ? "refuse" : "missing" })
        }
      />
    </div>
  );
}

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
      {format === "clock" && (
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
      {(dated || format === "clock") && (
        <ZoneField zone={time.zone} onChange={(zone) => onChange({ ...time, zone })} />
      )}
    </div>
  );
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
