"use client";

import { NativeSelect, TextInput } from "@mantine/core";
import { useState } from "react";
import { NumberField } from "@/components/number-field";
import { type Choices, type ColumnMap, markName, oneOf } from "./column-map";
import classes from "./source-file.module.css";

interface FormatFieldsProps {
  readonly map: ColumnMap;
  readonly choices: Choices;
  readonly onChange: (map: ColumnMap) => void;
  /** Another delimiter makes other columns, which are proposed anew. */
  readonly onDelimiter: (delimiter: ColumnMap["delimiter"]) => void;
}

/** How the file is built: what separates cells; how numbers are written; where the data begin. */
export function FormatFields(props: FormatFieldsProps) {
  const { map, choices, onChange, onDelimiter } = props;
  const isText = map.sheet === null;
  const [words, setWords] = useState(map.missing.words.join(", "));
  const [sentinels, setSentinels] = useState(map.missing.sentinels.join("; "));
  return (
    <div className={classes.fields}>
      {isText && (
        <NativeSelect
          label="Cells are separated by"
          data={choices.delimiters.map((value) => ({ value, label: markName(value) }))}
          value={map.delimiter}
          onChange={(event) => {
            const delimiter = oneOf(choices.delimiters, event.currentTarget.value);
            if (delimiter !== null) onDelimiter(delimiter);
          }}
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
