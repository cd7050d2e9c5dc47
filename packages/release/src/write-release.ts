import { assessDisclosure, choiceOf, compare } from "./assess-disclosure";
import { coarsen } from "./body-columns";
import { type Cell, csvRow } from "./csv";
import { descriptorOf, type PlainContent, type WrittenFile } from "./descriptor";
import type { DisclosureReport, WithheldNumbers } from "./disclosure-report";
import { ReleaseInputError, ReleaseRefusedError } from "./errors";
import { vocabularyOf } from "./free-text";
import { IdentityScan } from "./identity-scan";
import { ownWords } from "./own-words";
import { drawPseudonyms } from "./pseudonyms";
import { publicReport } from "./public-report";
import { readme } from "./readme";
import type { ReleaseInput, TraceToRelease, TrialToRelease } from "./release-input";
import * as rows from "./rows";
import * as tables from "./table";
import { type TraceFile, traceFilesOf, traceRows, traceTable } from "./trace-files";
import { whyTraceIsWithheld } from "./withheld-quantities";
import { ZipStream } from "./zip-stream";

/** Text goes to the packer in blocks of about this many characters, and bytes out in pieces of at least as many. */
const blockLength = 64 * 1024;

/**
 * The release as the bytes of a ZIP file, made while they are read: the traces of one trial at a time are in memory.
 * The same input, rule and random seed give the same bytes, whatever the order of volunteers and trials.
 *
 * Everything that can be known beforehand is checked before the first byte. A refusal that only the traces can cause
 * ends the stream with an error: what was written until then must be thrown away.
 *
 * @param report what `assessDisclosure` said of this very input
 * @throws ReleaseRefusedError when the rule is not fulfilled, or when something forbidden stands in what is written
 * @throws ReleaseInputError when the report belongs to another input, or a trace contradicts itself
 */
export async function* writeRelease(
  input: ReleaseInput,
  report: DisclosureReport,
): AsyncGenerator<Uint8Array, void, undefined> {
  const own = assessDisclosure(input);
  if (own.fingerprint !== report.fingerprint) {
    throw new ReleaseInputError("report", "belongs to another input: something changed since it was made");
  }
  if (own.refusals.length > 0) {
    throw new ReleaseRefusedError(
      `The release cannot be made: ${own.refusals.map(({ place, problem }) => `${place}: ${problem}`).join(" ")}`,
      own.refusals,
    );
  }
  yield* new ReleaseWriter(input, own).write();
}

class ReleaseWriter {
  readonly #zip = new ZipStream();
  readonly #scan: IdentityScan;
  readonly #files: WrittenFile[] = [];
  readonly #withheldTraces = new Map<string, WithheldNumbers>();
  readonly #labels: ReadonlyMap<string, string>;

  constructor(
    readonly input: ReleaseInput,
    readonly report: DisclosureReport,
  ) {
    // A code of up to four digits and nothing else cannot be told from the counts in the package's own text. Free text
    // was searched for it before.
    this.#scan = new IdentityScan(
      input.forbiddenStrings.filter((text) => !/^\D*\d{1,4}\D*$/u.test(text) || /\p{L}/u.test(text)),
    );
    this.#scan.excuse(`${vocabularyOf(input)} ${ownWords()}`);
    this.#labels = new Map(input.protocol.regions.map((region) => [region.id, region.label]));
  }

  async *write(): AsyncGenerator<Uint8Array, void, undefined> {
    const { input, report } = this;
    const leftOut = new Set(report.leftOut.map(({ key }) => key));
    const released = input.volunteers.filter(({ key }) => !leftOut.has(key));
    const isForbidden = (pseudonym: string): boolean => this.#scan.finds(pseudonym);
    const keys = released.map(({ key }) => key);
    const volunteers = drawPseudonyms(keys, "P-", input.random, isForbidden);
    const trialKeys = input.trials.filter(({ volunteerKey }) => !leftOut.has(volunteerKey));
    const trials = drawPseudonyms(
      trialKeys.map(({ key }) => key),
      "T-",
      input.random,
      isForbidden,
    );
    const nameOfVolunteer = (key: string): string => pseudonymOf(volunteers, key);
    const inOrder = [...trialKeys]
      .map((trial): rows.NamedTrial => ({ name: pseudonymOf(trials, trial.key), trial }))
      .sort((a, b) => compare(a.name, b.name));

    const choice = choiceOf(report);
    const bodies = released
      .map((volunteer) => ({ name: nameOfVolunteer(volunteer.key), body: coarsen(volunteer, choice) }))
      .sort((a, b) => compare(a.name, b.name));

    yield* this.#table(tables.volunteersTable, bodies.map(rows.volunteerRow));
    yield* this.#table(tables.conditionsTable, rows.conditionRows(input.protocol));
    yield* this.#table(tables.plannedPhasesTable, rows.plannedPhaseRows(input.protocol));
    yield* this.#table(tables.regionsTable, rows.regionRows(input.protocol));
    yield* this.#table(
      tables.trialsTable,
      inOrder.map((named) => rows.trialRow(named, nameOfVolunteer(named.trial.volunteerKey))),
    );
    yield* this.#table(tables.phasesTable, inOrder.flatMap(rows.phaseRows));
    yield* this.#table(tables.measuresTable, inOrder.flatMap(rows.measureRows));
    const index: Cell[][] = [];
    for (const { name, trial } of inOrder) yield* this.#tracesOf(trial, name, index);
    yield* this.#table(tables.tracesTable, index);

    const withheldTraces = [...this.#withheldTraces.values()].sort((a, b) =>
      compare(`${a.name} ${a.unit}`, `${b.name} ${b.unit}`),
    );
    yield* this.#plain(
      "disclosure-report.json",
      { kind: "plain", name: "disclosure-report", title: "Disclosure report", mediatype: "application/json" },
      json(publicReport(report, withheldTraces)),
    );
    yield* this.#plain(
      "README.md",
      { kind: "plain", name: "readme", title: "Read me", mediatype: "text/markdown" },
      readme({ ...input, report, withheldTraces }),
    );
    yield* this.#file("datapackage.json", [json(descriptorOf(input.study, input.release, this.#files))]);
    this.#zip.end();
    const last = this.#zip.take(0);
    if (last !== null) yield last;
  }

  /** Collects the traces of one trial, writes them and lets go of them. */
  async *#tracesOf(
    trial: TrialToRelease,
    name: string,
    index: Cell[][],
  ): AsyncGenerator<Uint8Array, void, undefined> {
    const traces: TraceToRelease[] = [];
    for await (const trace of this.input.traces(trial.key)) {
      const { target, unit } = trace;
      if (target.kind === "region" && !this.#labels.has(target.regionId)) {
        throw new ReleaseInputError("traces", "a trace names no region of protocol.regions");
      }
      const reason = whyTraceIsWithheld(trace);
      if (reason === null) traces.push(trace);
      else this.#withhold(target.kind === "region" ? "skin temperature" : target.channel, unit, reason);
    }
    const zeroS = rows.timeZeroOf(trial);
    for (const [position, file] of traceFilesOf(sorted(traces)).entries()) {
      const path = `traces/${name}-${position + 1}.csv`;
      const table = traceTable(file, path, name, (id) => this.#labels.get(id) ?? id);
      this.#refuseForbidden(
        table.columns.map((column) => `${column.name} ${column.title} ${column.unit ?? ""}`).join(" "),
        path,
      );
      index.push(...rows.traceIndexRows(file, path, name));
      const written = yield* this.#file(path, samplesOf(file, table, zeroS), "numbers");
      this.#files.push({ ...written, content: { kind: "table", table } });
    }
  }

  #withhold(name: string, unit: string, reason: string): void {
    const id = JSON.stringify([name, unit]);
    const count = (this.#withheldTraces.get(id)?.count ?? 0) + 1;
    this.#withheldTraces.set(id, { what: "trace", name, unit, count, reason });
  }

  *#table(table: tables.Table, cells: readonly (readonly Cell[])[]): Generator<Uint8Array, void, undefined> {
    const texts = function* (scan: (row: readonly Cell[]) => void): Generator<string> {
      let block = csvRow(table.columns.map((column) => column.name));
      for (const row of cells) {
        scan(row);
        block += csvRow(row);
        if (block.length >= blockLength) {
          yield block;
          block = "";
        }
      }
      yield block;
    };
    // Numbers are left out of the search: a telephone number is not found in the digits of a temperature.
    const scan = (row: readonly Cell[]): void =>
      this.#refuseForbidden(row.filter((cell) => typeof cell === "string").join(" "), table.path);
    const written = yield* this.#file(table.path, texts(scan), "numbers");
    this.#files.push({ ...written, content: { kind: "table", table } });
  }

  *#plain(path: string, content: PlainContent, text: string): Generator<Uint8Array, void, undefined> {
    const written = yield* this.#file(path, [text]);
    this.#files.push({ ...written, content });
  }

  /** @param searched whether the text is to be searched here; "numbers" when its words were searched already */
  *#file(
    path: string,
    texts: Iterable<string>,
    searched: "text" | "numbers" = "text",
  ): Generator<Uint8Array, Omit<WrittenFile, "content">, undefined> {
    const file = this.#zip.startFile(path);
    for (const text of texts) {
      if (searched === "text") this.#refuseForbidden(text, path);
      file.write(text);
      const ready = this.#zip.take(blockLength);
      if (ready !== null) yield ready;
    }
    return file.end();
  }

  #refuseForbidden(text: string, path: string): void {
    if (!this.#scan.finds(text)) return;
    const problem =
      "contains a volunteer's code, or a name, contact or birth date. Nothing may be handed out.";
    throw new ReleaseRefusedError(`${path} ${problem}`, [{ place: path, problem }]);
  }
}

function* samplesOf(file: TraceFile, table: tables.Table, zeroS: number): Generator<string> {
  yield csvRow(table.columns.map((column) => column.name));
  yield* traceRows(file, zeroS, blockLength);
}

/** An order of our own, so that the order in which traces arrive changes nothing (but for equal ones). */
function sorted(traces: readonly TraceToRelease[]): TraceToRelease[] {
  const name = ({ target, unit }: TraceToRelease): string =>
    JSON.stringify(
      target.kind === "region"
        ? [target.kind, target.regionId, target.statistic, unit]
        : ["zz", target.channel, unit],
    );
  return [...traces].sort((a, b) => compare(name(a), name(b)));
}

function pseudonymOf(pseudonyms: ReadonlyMap<string, string>, key: string): string {
  const pseudonym = pseudonyms.get(key);
  if (pseudonym === undefined) throw new ReleaseInputError("key", "has no pseudonym");
  return pseudonym;
}

function json(value: unknown): string {
  return `${JSON.stringify(value, null, 2)}\n`;
}
