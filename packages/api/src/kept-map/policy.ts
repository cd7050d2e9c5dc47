import type { ColumnMap, ColumnUse } from "@acral/ingest";
import { canonicalJson } from "../canonical-json";
import { targetText } from "../column-map/policy";

/** What reading by another column map would change, in words. Nothing here reads or writes. */

function useText(use: ColumnUse, unit: string | null): string {
  switch (use.kind) {
    case "region":
    case "channel":
      return unit === null ? targetText(use) : `${targetText(use)}, ${unit}`;
    case "time":
      return "time";
    case "ignore":
      return "ignored";
    case "key":
      return "names the series";
    case "value":
      return "holds the value";
  }
}

const marks: ReadonlyMap<string, string> = new Map([
  [",", "comma"],
  [";", "semicolon"],
  ["\t", "tab"],
  ["|", "bar"],
  [" ", "space"],
  [".", "point"],
  ["'", "apostrophe"],
  ['"', "double quotes"],
]);

/** A sign that can hardly be seen in a sentence, by its name. */
const markText = (mark: string | null) => (mark === null ? "nothing" : (marks.get(mark) ?? mark));

function timeText({
  columns,
  format,
  unit,
  dateOrder,
  frameRate,
  zone,
  date,
  clock,
  serialEpoch,
}: ColumnMap["time"]) {
  const parts = [
    `column ${columns.map((column) => column + 1).join(" and ")}`,
    format,
    ...(format === "number" || format === "unix" ? [unit] : []),
    ...(format === "date and time" ? [dateOrder] : []),
    ...(format === "frame number" ? [`${frameRate ?? "?"} frames/s`] : []),
    ...(format === "spreadsheet serial" ? [`from ${serialEpoch}`] : []),
    ...(date === null ? [] : [`on ${date}`]),
    ...(clock === null ? [] : [`zero at ${clock}`]),
    ...(zone === null ? [] : [`UTC offset ${zone}`]),
  ];
  return parts.join(", ");
}

/** What stands beside the columns and the time: a label and what it says. */
function formatTexts(map: ColumnMap): Record<string, string> {
  return {
    Sheet: map.sheet ?? "none, a text",
    Separator: markText(map.delimiter),
    "Decimal mark": markText(map.decimalMark),
    "Digits grouped by": markText(map.digitGrouping),
    Encoding: map.encoding,
    Quotes: markText(map.quote),
    "Header on line": map.headerLines.join(", ") || "none",
    "First line of data": String(map.firstDataLine),
    Layout: map.layout,
    "Words for missing": map.missing.words.join(", ") || "none",
    "Numbers for missing": map.missing.sentinels.join("; ") || "none",
    "A cell that is no number": map.unreadable === "missing" ? "counts as missing" : "refuses the file",
  };
}

/** The differences between the map that a file was read by and another one, as sentences; empty: none. */
export function changesInWords(own: ColumnMap, other: ColumnMap): string[] {
  const changes: string[] = [];
  const note = (what: string, before: string, after: string) => {
    if (before !== after) changes.push(`${what}: ${before} → ${after}`);
  };
  note("Time", timeText(own.time), timeText(other.time));
  for (const column of other.columns) {
    const before = own.columns.find(({ index }) => index === column.index);
    const named = column.name === "" ? "" : ` (${column.name})`;
    note(
      `Column ${column.index + 1}${named}`,
      before === undefined ? "not there" : useText(before.use, before.unit),
      useText(column.use, column.unit),
    );
  }
  for (const series of other.series) {
    const key = canonicalJson([series.key, series.valueColumn]);
    const before = own.series.find((one) => canonicalJson([one.key, one.valueColumn]) === key);
    note(
      `Series ${series.key.join(" ")}`,
      before === undefined ? "not there" : useText(before.use, before.unit),
      useText(series.use, series.unit),
    );
  }
  const formats = formatTexts(own);
  for (const [what, after] of Object.entries(formatTexts(other))) note(what, formats[what] ?? "", after);
  if (changes.length === 0 && canonicalJson(own) !== canonicalJson({ ...other, decidedBy: own.decidedBy })) {
    changes.push("A setting that this list does not name is different.");
  }
  return changes;
}

/** A column map in one line: "wide, separated by comma, 7 columns: 6 regions". */
export function mapInShort(map: ColumnMap): string {
  const uses = map.layout === "wide" ? map.columns : map.series;
  const counted = (kind: "region" | "channel", one: string, many: string) => {
    const count = uses.filter(({ use }) => use.kind === kind).length;
    return count === 0 ? [] : [`${count} ${count === 1 ? one : many}`];
  };
  const reads = [...counted("region", "region", "regions"), ...counted("channel", "channel", "channels")];
  const built = map.sheet === null ? `separated by ${markText(map.delimiter)}` : `sheet “${map.sheet}”`;
  return `${map.layout}, ${built}, ${map.columns.length} columns: ${reads.join(", ") || "nothing read"}`;
}
