import { sampleCount, type TimeBase, timeAt } from "@acral/analysis/course";
import { rowEnd } from "./csv";
import { ReleaseInputError } from "./errors";
import { float32Text, float64Text, roundedSeconds } from "./number-text";
import type { TraceTarget, TraceToRelease } from "./release-input";
import type { Column, Table } from "./table";

/** The traces of one trial that share their times, and the columns they stand in. */
export interface TraceFile {
  readonly timeBase: TimeBase;
  readonly traces: readonly NamedTrace[];
}

interface NamedTrace {
  readonly column: string;
  readonly trace: TraceToRelease;
  readonly missing: number;
}

/** Sorts one trial's traces by their times into files. @throws ReleaseInputError for a trace that contradicts itself */
export function traceFilesOf(traces: readonly TraceToRelease[]): TraceFile[] {
  const files: { timeBase: TimeBase; traces: NamedTrace[]; names: Set<string> }[] = [];
  for (const [index, trace] of traces.entries()) {
    const at = `traces[${index}]`;
    const samples = sampleCount(trace.timeBase);
    if (trace.values.length !== samples) {
      throw new ReleaseInputError(`${at}.values`, `has ${trace.values.length} values for ${samples} times`);
    }
    let missing = 0;
    for (const value of trace.values) {
      if (Number.isNaN(value)) missing++;
      else if (!Number.isFinite(value)) {
        throw new ReleaseInputError(`${at}.values`, "holds an infinite value; a missing one is NaN");
      }
    }
    let file = files.find((candidate) => sameTimes(candidate.timeBase, trace.timeBase));
    if (file === undefined) {
      file = { timeBase: trace.timeBase, traces: [], names: new Set(["time_s"]) };
      files.push(file);
    }
    const column = freeName(columnName(trace.target), file.names);
    file.names.add(column);
    file.traces.push({ column, trace, missing });
  }
  return files;
}

/** The table schema of one file of samples. */
export function traceTable(
  file: TraceFile,
  path: string,
  trial: string,
  labelOf: (regionId: string) => string,
): Table {
  const columns: Column[] = [
    {
      name: "time_s",
      type: "number",
      required: true,
      title: "Time",
      description: "Seconds from the start of the first exercise phase; negative before it.",
      unit: "s",
    },
  ];
  for (const { column, trace } of file.traces) {
    const { target, unit } = trace;
    const what =
      target.kind === "region" ? `${labelOf(target.regionId)}, ${target.statistic}` : target.channel;
    columns.push({
      name: column,
      type: "number",
      title: what,
      description:
        target.kind === "region"
          ? `Skin temperature of the region ${target.regionId}: ${target.statistic}.`
          : `Recorded channel: ${target.channel}.`,
      unit,
    });
  }
  return {
    name: path
      .replace(/\.csv$/, "")
      .replaceAll("/", "-")
      .toLowerCase(),
    path,
    title: `Samples of trial ${trial}`,
    description: "One row per time, one column per trace. The table traces says what each column is.",
    columns,
  };
}

/** The rows of one file of samples, in blocks of text of about `blockLength` characters. Numbers only. */
export function* traceRows(file: TraceFile, zeroS: number, blockLength: number): Generator<string> {
  const texts = file.traces.map(({ trace }) =>
    trace.values instanceof Float32Array ? float32Text : float64Text,
  );
  const arrays = file.traces.map(({ trace }) => trace.values);
  const samples = sampleCount(file.timeBase);
  let block = "";
  for (let row = 0; row < samples; row++) {
    const time = roundedSeconds(timeAt(file.timeBase, row) - zeroS);
    if (!Number.isFinite(time)) throw new ReleaseInputError("timeBase", "holds a time that is not a number");
    block += float64Text(time);
    for (const [index, values] of arrays.entries()) {
      block += `,${(texts[index] ?? float64Text)(values[row] ?? Number.NaN)}`;
    }
    block += rowEnd;
    if (block.length >= blockLength) {
      yield block;
      block = "";
    }
  }
  if (block !== "") yield block;
}

function columnName(target: TraceTarget): string {
  const words = target.kind === "region" ? `${target.regionId} ${target.statistic}` : target.channel;
  return words.toLowerCase().replace(/[^a-z0-9]+/g, "_");
}

function freeName(wanted: string, taken: ReadonlySet<string>): string {
  let name = wanted;
  for (let number = 2; taken.has(name); number++) name = `${wanted}_${number}`;
  return name;
}

function sameTimes(a: TimeBase, b: TimeBase): boolean {
  if (a.kind === "regular" && b.kind === "regular") {
    return a.startS === b.startS && a.stepS === b.stepS && a.count === b.count;
  }
  if (a.kind === "irregular" && b.kind === "irregular") {
    return (
      a.timesS === b.timesS ||
      (a.timesS.length === b.timesS.length && a.timesS.every((time, index) => time === b.timesS[index]))
    );
  }
  return false;
}
