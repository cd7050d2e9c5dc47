"use client";

import { NativeSelect, Select } from "@mantine/core";
import { type Choices, type ColumnUse, oneOf, unitsOf } from "./column-map";
import { regionOptions } from "./region-options";
import classes from "./source-file.module.css";

const useNames: Readonly<Record<ColumnUse["kind"], string>> = {
  time: "time",
  region: "region",
  channel: "channel",
  ignore: "ignore",
  key: "names the series",
  value: "holds the value",
};

const usesOf = {
  column: ["time", "region", "channel", "ignore"],
  "long column": ["time", "key", "value", "ignore"],
  "block column": ["time", "value", "ignore"],
  series: ["region", "channel", "ignore"],
} as const satisfies Record<string, readonly ColumnUse["kind"][]>;

interface UseFieldsProps {
  /** What the fields are of, for screen readers: "column 3, left forearm". */
  readonly of: string;
  readonly kind: keyof typeof usesOf;
  readonly use: ColumnUse;
  readonly unit: string | null;
  readonly choices: Choices;
  readonly onUse: (use: ColumnUse) => void;
  readonly onUnit: (unit: string) => void;
}

/** What a column or a series is: its use, and for a quantity its region or channel, statistic and unit. */
export function UseFields({ of, kind, use, unit, choices, onUse, onUnit }: UseFieldsProps) {
  const units = unitsOf(use, choices);
  const choose = (wanted: string) => {
    const next = oneOf(usesOf[kind], wanted);
    switch (next) {
      case null:
        return;
      case "region":
        // A region has to be chosen next; the reader refuses the map until it is.
        onUse({ kind: "region", regionId: "", statistic: "mean" });
        return;
      case "channel":
        onUse({ kind: "channel", channel: choices.channels[0]?.channel ?? "heart rate" });
        return;
      default:
        onUse({ kind: next });
    }
  };
  return (
    <div className={classes.use}>
      <NativeSelect
        aria-label={`Use of ${of}`}
        data={usesOf[kind].map((value) => ({ value, label: useNames[value] }))}
        value={use.kind}
        onChange={(event) => choose(event.currentTarget.value)}
        w={118}
      />
      {use.kind === "region" && (
        <>
          <Select
            aria-label={`Region of ${of}`}
            data={regionOptions}
            value={use.regionId === "" ? null : use.regionId}
            onChange={(regionId) => onUse({ ...use, regionId: regionId ?? "" })}
            placeholder="Choose a region"
            searchable
            nothingFoundMessage="Not in the region catalogue"
            error={use.regionId === "" ? "Choose a region." : null}
            w={224}
          />
          <NativeSelect
            aria-label={`Statistic of ${of}`}
            data={[...choices.statistics]}
            value={use.statistic}
            onChange={(event) => {
              const statistic = oneOf(choices.statistics, event.currentTarget.value);
              if (statistic !== null) onUse({ ...use, statistic });
            }}
            w={136}
          />
        </>
      )}
      {use.kind === "channel" && (
        <NativeSelect
          aria-label={`Channel of ${of}`}
          data={choices.channels.map(({ channel }) => channel)}
          value={use.channel}
          onChange={(event) => {
            const wanted = event.currentTarget.value;
            const found = choices.channels.find(({ channel }) => channel === wanted);
            if (found !== undefined) onUse({ kind: "channel", channel: found.channel });
          }}
          w={230}
        />
      )}
      {units.length > 0 && (
        <NativeSelect
          aria-label={`Unit of ${of}`}
          data={[
            ...(unit !== null && units.includes(unit) ? [] : [{ value: unit ?? "", label: unit ?? "unit?" }]),
            ...units.map((value) => ({ value, label: value })),
          ]}
          value={unit ?? ""}
          onChange={(event) => onUnit(event.currentTarget.value)}
          error={unit === null || !units.includes(unit) ? "Choose a unit." : null}
          w={84}
        />
      )}
    </div>
  );
}
