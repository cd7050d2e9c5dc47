import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { sampleTimes } from "@acral/analysis/course";
import { z } from "zod";
import { type ColumnMap, columnMapSchema, type ReadResult } from "../src/index";

const folder = fileURLToPath(new URL("./corpus/", import.meta.url));

const truthSchema = z.strictObject({
  about: z.string(),
  timeBase: z.enum(["regular", "irregular"]),
  times: z.array(z.number()),
  startedAt: z.string().nullable(),
  startClock: z.string().nullable(),
  traces: z.array(
    z.strictObject({ target: z.string(), unit: z.string(), values: z.array(z.number().nullable()) }),
  ),
  rowsUsed: z.int(),
  rowsNotUsed: z.record(z.string(), z.int()),
  warnings: z.array(z.string()),
  unreadable: z.array(z.strictObject({ column: z.int(), line: z.int(), text: z.string() })),
  /** Kinds of doubt that detection must raise. */
  doubts: z.array(z.string()),
  /** What a person has to correct in the detected column map; null when detection alone is right. */
  corrections: z.record(z.string(), z.unknown()).nullable(),
});
type Truth = z.infer<typeof truthSchema>;

interface CorpusFile {
  name: string;
  bytes: Uint8Array;
  truth: Truth;
}

/** Every file of the corpus with the truth that stands beside it. */
export const corpus: readonly CorpusFile[] = readdirSync(folder)
  .filter((name) => name.endsWith(".truth.json"))
  .sort()
  .map((truthName) => {
    const name = truthName.slice(0, -".truth.json".length);
    return {
      name,
      bytes: new Uint8Array(readFileSync(`${folder}${name}`)),
      truth: truthSchema.parse(JSON.parse(readFileSync(`${folder}${truthName}`, "utf8"))),
    };
  });

function merged(base: unknown, change: unknown): unknown {
  if (typeof base !== "object" || base === null || Array.isArray(change)) return change;
  if (typeof change !== "object" || change === null) return change;
  return Object.fromEntries([
    ...Object.entries(base),
    ...Object.entries(change).map(([key, value]) => [
      key,
      merged((base as Record<string, unknown>)[key], value),
    ]),
  ]);
}

export function corrected(columnMap: ColumnMap, corrections: Truth["corrections"]): ColumnMap {
  return columnMapSchema.parse(merged(columnMap, corrections ?? {}));
}

/** A read result in the form of a truth, for comparison. */
export function asTruth(result: ReadResult): Omit<Truth, "about" | "doubts" | "corrections"> {
  return {
    timeBase: result.timeBase.kind,
    // Times of a regular base are start + i x step, which rounds differently from the decimals in the file.
    times: [...sampleTimes(result.timeBase)].map((time) => Math.round(time * 1e9) / 1e9),
    startedAt: result.startedAt,
    startClock: result.startClock,
    traces: result.traces.map(({ target, unit, values }) => ({
      target: target.kind === "region" ? `${target.regionId} ${target.statistic}` : target.channel,
      unit,
      values: [...values].map((value) => (Number.isNaN(value) ? null : value)),
    })),
    rowsUsed: result.report.rowsUsed,
    rowsNotUsed: Object.fromEntries(result.report.rowsNotUsed.map(({ reason, count }) => [reason, count])),
    warnings: result.report.warnings.map((warning) => warning.kind).sort(),
    unreadable: result.report.missingValues.flatMap(({ column, unreadableCells }) =>
      unreadableCells.map(({ line, text }) => ({ column, line, text })),
    ),
  };
}

export function truthOf({ about: _about, doubts: _doubts, corrections: _corrections, ...truth }: Truth) {
  return { ...truth, warnings: [...truth.warnings].sort() };
}
