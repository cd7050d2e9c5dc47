import type { AdjustmentSettings } from "@acral/analysis/quality";
import type { ColumnMap } from "@acral/ingest";
import { seriesInWords } from "../adjustment/policy";
import { canonicalJson } from "../canonical-json";

/** Which adjustments outlive another reading of their file. Nothing here reads or writes. */

/** How a file was read before and is read now: its column map and the series that came of it. */
export interface Reading {
  readonly columnMap: ColumnMap | null;
  /** By their names in adjustments, with their units as written in the file. */
  readonly series: ReadonlySet<string>;
}

/**
 * The part of a column map that decides where a row lies on the file's own clock: each sheet of a workbook has times of its
 * own. The day and the time of day at which that clock began move nothing on it.
 */
function clockOfMap({ sheet, time: { date: _date, clock: _clock, ...time } }: ColumnMap): string {
  return canonicalJson({ sheet: sheet ?? null, time });
}

/** Which unit each region or channel is read from. */
function unitsOfMap(map: ColumnMap): Map<string, string> {
  const uses = map.layout === "wide" ? map.columns : map.series;
  const units = new Map<string, string>();
  for (const { use, unit } of uses) {
    if (use.kind === "region") units.set(`${use.regionId} (${use.statistic})`, unit ?? "");
    if (use.kind === "channel") units.set(use.channel, unit ?? "");
  }
  return units;
}

/**
 * Why an adjustment that was made for the file as it was read before makes no sense for it as it is read now; null when it
 * still does. Moments mean the same only on the same clock, and sizes in °C only while the units they were found in stand.
 */
export function outlived(settings: AdjustmentSettings, before: Reading, now: Reading): string | null {
  if (before.columnMap === null || now.columnMap === null) return null;
  const sameClock = clockOfMap(before.columnMap) === clockOfMap(now.columnMap);
  const otherClock = "its moments were on a clock that is read in another way now";
  const units = unitsOfMap(now.columnMap);
  const otherUnit = [...unitsOfMap(before.columnMap)].find(
    ([key, unit]) => units.has(key) && units.get(key) !== unit,
  );
  const size =
    otherUnit === undefined
      ? null
      : `its size was found while ${seriesInWords(otherUnit[0])} was read in another unit`;
  switch (settings.kind) {
    case "common step":
    case "warming-up drift":
      return sameClock ? size : otherClock;
    case "time shift":
      return sameClock ? null : otherClock;
    case "mask": {
      if (!sameClock) return otherClock;
      const gone = settings.series?.find((key) => !now.series.has(key));
      return gone === undefined ? null : `${seriesInWords(gone)} is not read any more`;
    }
    case "reference drift":
      return now.series.has(settings.reference)
        ? null
        : `${seriesInWords(settings.reference)} is not read any more`;
    case "emissivity":
      return size;
  }
}
