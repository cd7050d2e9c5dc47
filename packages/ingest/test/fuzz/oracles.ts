import { isDeepStrictEqual } from "node:util";
import type { SeededGenerator } from "@acral/analysis/statistics";
import {
  type ColumnMap,
  columnMapSchema,
  detectColumnMap,
  type ReadResult,
  readSourceFile,
  readSourceStream,
  SourceFileError,
} from "../../src/index";
import { unitConversion } from "../../src/units";
import { handMap } from "../column-maps";
import { pieces } from "../drivers";
import { type FuzzInput, withChanges } from "./fuzz-input";
import { numbersIn, textOf } from "./reference-numbers";

/** What must never happen, in words. */
export class FuzzFinding extends Error {
  override readonly name = "FuzzFinding";
  constructor(
    readonly kind: string,
    detail: string,
    cause?: unknown,
  ) {
    super(`${kind}: ${detail}`, { cause });
  }
}

/** Of the processor, so that a busy machine finds nothing slow that is not. Generous: these inputs take milliseconds. */
const mostSeconds = 10;

/** Detects and reads one input in every way, and throws a FuzzFinding when something does not hold that always must. */
export async function requireSound(input: FuzzInput, random: SeededGenerator): Promise<void> {
  const before = process.cpuUsage();
  const proposed = detectedMap(input.bytes);
  const map = withChanges(proposed ?? handMap, input.changes);
  const whole = await outcomeOf("reading in memory", () => readSourceFile(input.bytes, map));
  const sizes = chunkSizes(input.bytes.length, random);
  const streamed = await outcomeOf("reading a stream", () =>
    readSourceStream(pieces(input.bytes, sizes), map),
  );
  if (!isDeepStrictEqual(whole, streamed) && !refusedAsDamaged(whole, streamed)) {
    throw new FuzzFinding(
      "differs as a stream",
      `in pieces of ${sizes.join(", ")} bytes: ${difference(whole, streamed)}`,
    );
  }
  if (typeof whole !== "string") {
    try {
      requireCounts(whole, map, input.bytes);
      requireNumbersOfFile(whole, map, input.bytes);
    } catch (error) {
      if (error instanceof FuzzFinding) throw error;
      // The second way refuses what the reader read, such as a gzip file that zlib finds damaged.
      throw new FuzzFinding(
        "read what is damaged",
        error instanceof Error ? error.message : String(error),
        error,
      );
    }
  }
  const { user, system } = process.cpuUsage(before);
  const seconds = (user + system) / 1e6;
  if (seconds > mostSeconds) throw new FuzzFinding("slow", `${seconds.toFixed(1)} s`);
}

function detectedMap(bytes: Uint8Array): ColumnMap | null {
  try {
    const { columnMap, guesses } = detectColumnMap(bytes);
    if (!isDeepStrictEqual(columnMapSchema.parse(columnMap), columnMap))
      throw new FuzzFinding("map", "the proposed column map is not what the schema makes of it");
    for (const { confidence } of guesses) {
      if (!(confidence >= 0 && confidence <= 1))
        throw new FuzzFinding("map", `a confidence of ${confidence}`);
    }
    return columnMap;
  } catch (error) {
    if (error instanceof SourceFileError) return null;
    if (error instanceof FuzzFinding) throw error;
    throw crash("detection", error);
  }
}

function crash(where: string, error: unknown): FuzzFinding {
  const text = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  return new FuzzFinding("crash", `${where}: ${text}`, error);
}

/** The result, or the refusal as text; anything else that is thrown is a finding. */
async function outcomeOf(
  where: string,
  read: () => ReadResult | Promise<ReadResult>,
): Promise<ReadResult | string> {
  try {
    return await read();
  } catch (error) {
    if (!(error instanceof SourceFileError)) throw crash(where, error);
    if (error.message === "" || (error.line !== undefined && !(error.line >= 1)))
      throw new FuzzFinding("refusal", `line ${error.line}: ${error.message}`);
    return `${error.code}, line ${error.line}, column ${error.column}: ${error.message}`;
  }
}

/** How much of a damaged gzip file is unpacked, and then refused for what it holds, depends on its pieces. */
function refusedAsDamaged(whole: ReadResult | string, streamed: ReadResult | string): boolean {
  if (typeof whole !== "string" || typeof streamed !== "string") return false;
  return whole.startsWith("damaged-gzip") || streamed.startsWith("damaged-gzip");
}

function chunkSizes(length: number, random: SeededGenerator): number[] {
  const most = random.below(3) === 0 ? 3 : Math.max(40, length >> random.below(6));
  return Array.from({ length: 1 + random.below(4) }, () => 1 + random.below(most));
}

function difference(whole: ReadResult | string, streamed: ReadResult | string): string {
  if (typeof whole === "string" || typeof streamed === "string") {
    const text = (outcome: ReadResult | string) => (typeof outcome === "string" ? outcome : "read");
    return `"${text(whole)}" against "${text(streamed)}"`;
  }
  if (!isDeepStrictEqual(whole.report, streamed.report))
    return `${JSON.stringify(whole.report)} against ${JSON.stringify(streamed.report)}`;
  return isDeepStrictEqual(whole.timeBase, streamed.timeBase) ? "the traces" : "the times";
}

/** Reasons that are counted beside the rows of data. */
const notData = new Set(["before the data", "header", "blank"]);

function requireCounts(result: ReadResult, map: ColumnMap, bytes: Uint8Array): void {
  const { report, timeBase, traces } = result;
  const notUsed = report.rowsNotUsed
    .filter(({ reason }) => !notData.has(reason))
    .reduce((sum, { count }) => sum + count, 0);
  if (report.rowsUsed + notUsed !== report.rowsRead)
    throw new FuzzFinding(
      "counts",
      `${report.rowsUsed} used and ${notUsed} not used, but ${report.rowsRead} read`,
    );
  const times = timeBase.kind === "regular" ? timeBase.count : timeBase.timesS.length;
  if (map.layout === "wide" && times !== report.rowsUsed)
    throw new FuzzFinding("counts", `${times} times of ${report.rowsUsed} rows`);
  for (const { values, name } of traces) {
    if (values.length !== times)
      throw new FuzzFinding("counts", `${values.length} values of "${name}" at ${times} times`);
  }
  if (
    timeBase.kind === "regular"
      ? !(timeBase.stepS > 0)
      : timeBase.timesS.some((time) => !Number.isFinite(time))
  )
    throw new FuzzFinding("times", "a time is not finite, or a step not above zero");
  for (const { missing, unreadable, sentinels, unreadableCells } of report.missingValues) {
    if (unreadable + sentinels > missing || unreadableCells.length > unreadable)
      throw new FuzzFinding("counts", "more cells are unreadable than missing");
  }
  if (bytes[0] === 0x50 && bytes[1] === 0x4b) return;
  const text = textOf(bytes, map.encoding);
  const breaks = text.match(/\r\n|\r|\n/g)?.length ?? 0;
  const lines = breaks + (/[\r\n]$/.test(text) ? 0 : 1);
  // The last line may hold nothing but blanks, which are no row where blanks separate cells.
  if (report.lines !== lines && report.lines !== breaks)
    throw new FuzzFinding("counts", `${report.lines} lines, but the text has ${lines}`);
}

/** No number may come out that is not in the file, to the last bit; a converted one within the rounding of doubles. */
export function requireNumbersOfFile(result: ReadResult, map: ColumnMap, bytes: Uint8Array): void {
  const numbers = numbersIn(bytes, map);
  const known = new Set(numbers);
  for (const { values, target, name, column } of result.traces) {
    const unit =
      map.series.find((series) => isDeepStrictEqual(series.use, target))?.unit ??
      map.columns.find((mapped) => mapped.index === column)?.unit ??
      "";
    const conversion = unitConversion(target, unit);
    if (conversion === null) throw new FuzzFinding("unit", `"${name}" was read in "${unit}"`);
    const { factor, offset, divisor } = conversion;
    const same = factor === 1 && offset === 0 && divisor === 1;
    for (const value of new Set(values)) {
      if (Number.isNaN(value)) continue;
      const found = same
        ? known.has(value)
        : numbers.some((number) =>
            near((number * factor + offset) / divisor, value, Math.abs(offset / divisor)),
          );
      if (!found) throw new FuzzFinding("number", `${value} in "${name}" is not in the file`);
    }
  }
}

function near(a: number, b: number, scale: number): boolean {
  return Math.abs(a - b) <= 4 * Number.EPSILON * Math.max(Math.abs(a), Math.abs(b), scale);
}
