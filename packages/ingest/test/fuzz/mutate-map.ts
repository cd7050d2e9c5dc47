import type { SeededGenerator } from "@acral/analysis/statistics";
import {
  dateOrders,
  decimalMarks,
  delimiters,
  digitGroupings,
  encodings,
  timeFormats,
  timeUnits,
} from "../../src/index";
import type { MapChange } from "./fuzz-input";

const region = { kind: "region", regionId: "hand-left-dorsal", statistic: "mean" };
const otherRegion = { kind: "region", regionId: "foot-right-dorsal", statistic: "maximum" };
const units = ["°C", "°F", "K", "/min", "W", "%", "mV", "", null];

/** Values that a person, or a program that is not ours, might put into the fields of a column map. */
const choices: Readonly<Record<string, readonly unknown[]>> = {
  encoding: encodings,
  delimiter: delimiters,
  decimalMark: decimalMarks,
  digitGrouping: [...digitGroupings, null],
  quote: ['"', "'", null],
  headerLines: [[], [1], [2], [1, 2], [3], [5]],
  firstDataLine: [1, 2, 3, 4, 7, 1000],
  layout: ["wide", "long", "blocks"],
  sheet: [null, "Sheet1", "no such sheet"],
  "time.clock": [null, "10:00:00"],
  "time.columns": [[], [0], [1], [0, 1], [1, 0], [9]],
  "time.format": timeFormats,
  "time.unit": timeUnits,
  "time.dateOrder": dateOrders,
  "time.frameRate": [null, 30, 7.5, 1e-300],
  "time.zone": [null, "Z", "+05:45", "-11:00"],
  "time.date": [null, "2026-02-03"],
  "time.serialEpoch": [1900, 1904],
  "columns.0.use": [{ kind: "time" }, { kind: "ignore" }, region, { kind: "key" }],
  "columns.1.use": [
    { kind: "ignore" },
    region,
    { kind: "key" },
    { kind: "value" },
    { kind: "channel", channel: "power" },
  ],
  "columns.2.use": [{ kind: "ignore" }, otherRegion, { kind: "value" }],
  "columns.1.unit": units,
  "columns.2.unit": units,
  "columns.1.index": [0, 1, 5, 4000],
  "missing.words": [[], ["nan"], ["30.5", "x"]],
  "missing.sentinels": [[], [0], [-9999, 31.5]],
  unreadable: ["missing", "refuse"],
};
const fields = Object.keys(choices);

/** Mostly nothing: then the column map is the one that detection proposed. */
export function mutateMap(changes: readonly MapChange[], random: SeededGenerator): MapChange[] {
  if (random.below(3) > 0) return [...changes];
  if (changes.length > 0 && random.below(3) === 0) return changes.slice(1);
  const field = fields[random.below(fields.length)] ?? "quote";
  const values = choices[field] ?? [];
  return [
    ...changes.filter((change) => change.field !== field),
    { field, value: values[random.below(values.length)] },
  ];
}
