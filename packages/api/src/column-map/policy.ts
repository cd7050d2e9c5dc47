import { regionById, type Statistic, statistics } from "@acral/analysis/skin";
import {
  type ColumnMap,
  channels,
  dateOrders,
  decimalMarks,
  delimiters,
  digitGroupings,
  encodings,
  type MappedSeries,
  type ReadResult,
  sheetKind,
  type TraceTarget,
  timeFormats,
  timeUnits,
  unitsFor,
} from "@acral/ingest";
import { canonicalJson } from "../canonical-json";

/** Version of the reading of source files: raised whenever the same bytes and column map can give other traces. */
export const readerVersion = "3";

const seriesKeyText = (series: MappedSeries) => JSON.stringify([series.key, series.valueColumn]);
const singleByte: readonly string[] = ["windows-1252", "iso-8859-1"];

/**
 * The column map remembered for a layout, fitted to another file of that layout: what differs from file to file (where
 * the header stands, the day, names written otherwise, series that were not there before) comes from detection. A map for
 * another sheet than the one that was looked at stays as it is: the reader holds it against that sheet.
 */
export function fitRemembered(detected: ColumnMap, remembered: ColumnMap): ColumnMap {
  if (kindOfSheet(detected) !== kindOfSheet(remembered)) return remembered;
  const sameHeader = JSON.stringify(detected.headerLines) === JSON.stringify(remembered.headerLines);
  const sameKind = singleByte.includes(detected.encoding) && singleByte.includes(remembered.encoding);
  const known = new Map(remembered.series.map((series) => [seriesKeyText(series), series]));
  return {
    ...remembered,
    sheet: detected.sheet,
    encoding: sameKind ? remembered.encoding : detected.encoding,
    headerLines: detected.headerLines,
    firstDataLine: sameHeader ? remembered.firstDataLine : detected.firstDataLine,
    time: { ...remembered.time, date: detected.time.date, clock: detected.time.clock },
    columns: remembered.columns.map((column, i) => ({
      ...column,
      name: detected.columns[i]?.name ?? column.name,
    })),
    series: detected.series.map((series) => known.get(seriesKeyText(series)) ?? series),
  };
}

const kindOfSheet = ({ sheet }: ColumnMap) => (sheet === null ? null : sheetKind(sheet));

/** Whether a file that was read by `own` would be read otherwise by the map that is kept for its layout. */
export function readOtherwise(own: ColumnMap, kept: ColumnMap): boolean {
  const decided = (map: ColumnMap) => canonicalJson({ ...map, decidedBy: "person" });
  return decided(fitRemembered(own, kept)) !== decided(own);
}

/** A name for a layout that has none yet: that of its first file, without its ending. */
export function nameFromFile(fileName: string): string {
  return fileName.replace(/(\.[a-z]{1,4}){1,2}$/i, "") || fileName;
}

/** The regions and channels that a column map reads. */
export function targetsOf(map: ColumnMap): TraceTarget[] {
  const uses = map.layout === "wide" ? map.columns : map.series;
  return uses.flatMap(({ use }) => (use.kind === "region" || use.kind === "channel" ? [use] : []));
}

export interface RecordedRegion {
  readonly regionId: string;
  readonly statistic: Statistic;
}

export interface RegionCoverage {
  /** Of the protocol's regions to record: those that the map reads, and those that it does not. */
  readonly covered: readonly RecordedRegion[];
  readonly missing: readonly RecordedRegion[];
  /** Regions that the map reads and the protocol does not ask for. */
  readonly unexpected: readonly RecordedRegion[];
  /** A warning in words when the file and the protocol differ; null when they agree. */
  readonly warning: string | null;
}

const regionText = ({ regionId, statistic }: RecordedRegion) =>
  `${regionById(regionId).label} (${statistic})`;

function listed(regions: readonly RecordedRegion[]): string {
  const shown = regions.slice(0, 8).map(regionText).join("; ");
  return regions.length > 8 ? `${shown}; and ${regions.length - 8} more` : shown;
}

/** Which of the protocol's regions a column map reads. Differences are told, never refused. */
export function coverageOf(map: ColumnMap, wanted: readonly RecordedRegion[]): RegionCoverage {
  const same = (a: RecordedRegion) => (b: RecordedRegion) =>
    a.regionId === b.regionId && a.statistic === b.statistic;
  const read = targetsOf(map).flatMap((target): RecordedRegion[] =>
    target.kind === "region" ? [{ regionId: target.regionId, statistic: target.statistic }] : [],
  );
  const covered = wanted.filter((region) => read.some(same(region)));
  const missing = wanted.filter((region) => !read.some(same(region)));
  const unexpected = read.filter((region) => !wanted.some(same(region)));
  const parts = [
    ...(missing.length === 0
      ? []
      : [`The protocol asks for regions that this file does not give: ${listed(missing)}.`]),
    ...(unexpected.length === 0
      ? []
      : [
          `The file gives regions that the protocol does not ask for: ${listed(unexpected)}. They are read all the same; ignore their columns if they do not belong here.`,
        ]),
  ];
  return { covered, missing, unexpected, warning: parts.length === 0 ? null : parts.join(" ") };
}

/** "Left forearm, anterior (mean)", "heart rate". */
export function targetText(target: TraceTarget): string {
  return target.kind === "region" ? regionText(target) : target.channel;
}

export interface PreviewedTrace {
  readonly column: number;
  readonly name: string;
  readonly reads: string;
  readonly unit: string;
  readonly values: readonly (number | null)[];
  readonly missing: number;
  readonly unreadable: readonly { line: number; text: string }[];
}

/** What the first rows read as; a missing value is null. */
export function previewOf(result: ReadResult, rows: number): { timesS: number[]; traces: PreviewedTrace[] } {
  const { timeBase, traces, report } = result;
  const count = Math.min(rows, timeBase.kind === "regular" ? timeBase.count : timeBase.timesS.length);
  const timesS = Array.from({ length: count }, (_, i) =>
    timeBase.kind === "regular" ? timeBase.startS + i * timeBase.stepS : (timeBase.timesS[i] ?? 0),
  );
  return {
    timesS,
    traces: traces.map((trace) => {
      const lacks = report.missingValues.find(
        (missing) => missing.column === trace.column && missing.name === trace.name,
      );
      return {
        column: trace.column,
        name: trace.name,
        reads: targetText(trace.target),
        unit: trace.unit,
        values: Array.from(trace.values.subarray(0, count), (value) =>
          Number.isFinite(value) ? value : null,
        ),
        missing: lacks?.missing ?? 0,
        unreadable: (lacks?.unreadableCells ?? []).slice(0, 5),
      };
    }),
  };
}

/** What a person can choose from when correcting a column map. */
export const columnMapChoices = {
  encodings,
  delimiters,
  decimalMarks,
  digitGroupings,
  timeFormats,
  timeUnits,
  dateOrders,
  statistics,
  channels: channels.map((channel) => ({ channel, units: unitsFor({ kind: "channel", channel }) })),
  temperatureUnits: unitsFor({ kind: "region", regionId: "", statistic: "mean" }),
} as const;
