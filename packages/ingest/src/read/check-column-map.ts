import { isRegionId } from "@acral/analysis/skin";
import { type ColumnMap, columnMapSchema } from "../column-map";
import type { TraceTarget } from "../read-result";
import { SourceFileError } from "../source-file-error";

function targetText(target: TraceTarget): string {
  return target.kind === "region" ? `${target.regionId}, ${target.statistic}` : target.channel;
}

function badMap(message: string, column?: number): SourceFileError {
  return new SourceFileError("bad-column-map", message, column === undefined ? {} : { column: column + 1 });
}

/** Throws unless the column map can be followed: known regions, no target twice, something to read. */
export function checkColumnMap(input: ColumnMap): ColumnMap {
  const parsed = columnMapSchema.safeParse(input);
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    throw badMap(
      `The column map cannot be used: ${issue === undefined ? "it is not complete" : `${issue.path.join(".")}: ${issue.message}`}.`,
    );
  }
  // The texts of a workbook are handed on as UTF-8, whatever a map says.
  const map: ColumnMap = parsed.data.sheet === null ? parsed.data : { ...parsed.data, encoding: "utf-8" };
  if (map.decimalMark === map.digitGrouping) {
    throw badMap(
      "The column map cannot be used: the decimal mark cannot group digits too. Choose another digit grouping.",
    );
  }
  if (map.headerLines.some((line) => line >= map.firstDataLine)) {
    throw badMap("The column map cannot be used: the first data line must come after the header lines.");
  }
  const indexes = new Set<number>();
  for (const { index } of map.columns) {
    if (indexes.has(index)) {
      throw badMap(
        `The column map cannot be used: column ${index + 1} stands in it twice, and could be read as two things. Leave one of them out.`,
        index,
      );
    }
    indexes.add(index);
  }
  const wanted: { target: TraceTarget; column: number }[] = [];
  if (map.layout === "wide") {
    for (const { index, use } of map.columns) {
      if (use.kind === "region" || use.kind === "channel") wanted.push({ target: use, column: index });
    }
  } else {
    const uses = new Set(map.columns.map((column) => column.use.kind));
    if (map.layout === "blocks" && !uses.has("value")) {
      throw badMap("In a layout in blocks one column must hold the value. Choose it in the column map.");
    }
    if (map.layout === "long" && (!uses.has("key") || !uses.has("value"))) {
      throw badMap(
        "In the long layout one column must name the series (a key column) and one must hold the value. Choose them in the column map.",
      );
    }
    for (const { valueColumn, use } of map.series) {
      if (use.kind !== "ignore") wanted.push({ target: use, column: valueColumn });
    }
  }
  if (wanted.length === 0) {
    throw new SourceFileError(
      "nothing-to-read",
      "No column is a region or a channel, so there is nothing to read. Say in the column map what at least one column holds.",
    );
  }
  const seen = new Map<string, number>();
  for (const { target, column } of wanted) {
    if (target.kind === "region" && !isRegionId(target.regionId)) {
      throw new SourceFileError(
        "unknown-region",
        `Column ${column + 1} is mapped to "${target.regionId}", which the region catalogue does not have. Choose a region for it.`,
        { column: column + 1 },
      );
    }
    const text = targetText(target);
    const before = seen.get(text);
    if (before !== undefined) {
      throw badMap(
        `Columns ${before + 1} and ${column + 1} are both mapped to ${text}. Leave one of them out, or choose another region or statistic.`,
        column,
      );
    }
    seen.set(text, column);
  }
  return map;
}
