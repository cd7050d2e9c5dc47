import type { ColumnMap, TimeFormat, TimeUnit } from "../column-map";
import type { Doubt } from "../detection";
import { matchColumn } from "../match/match-column";
import { readRegionWords } from "../match/match-region";
import { plainText, wordsOf } from "../match/normalise-name";
import { splitUnit } from "../match/split-unit";
import type { ShapedRow } from "./find-table";
import { guessClock } from "./guess-clock";
import { guessDateOrder } from "./guess-date-order";
import type { NumberFormat } from "./guess-number-format";
import { guessSerialEpoch } from "./guess-serial-epoch";
import { guessStart } from "./guess-start";
import { median } from "./number-columns";
import type { PreambleFacts } from "./preamble-facts";

export interface TimeGuess {
  time: ColumnMap["time"];
  doubts: Doubt[];
  reason: string;
  confidence: number;
}

export interface TimeInput {
  data: readonly ShapedRow[];
  /** Header texts per column. */
  parts: readonly (readonly string[])[];
  columnCount: number;
  format: NumberFormat;
  /** Numbers of the data, per column. */
  numbers: readonly (readonly number[])[];
  facts: PreambleFacts;
  /** First day of the spreadsheet's calendar, when the file itself says it. */
  storedEpoch: 1900 | 1904 | null;
}

export interface TimeCandidate {
  columns: number[];
  format: TimeFormat;
  unit: TimeUnit;
  score: number;
  reason: string;
  doubts: Doubt[];
}

const timeWords = new Set(
  (
    "time t timestamp date datetime clock elapsed duration zeit zeitpunkt zeitstempel datum uhrzeit messzeit temps tempo hora heure date horodatage duree tiempo hora " +
    "fecha tijd tijdstip tempo ora data durata dauer verstrichen seconds second secs sec s ms msec milliseconds minutes min sekunden sekunde millisekunden " +
    "minuten secondes segundos minutos secondi minuti unix epoch posix serial"
  ).split(" "),
);
const frameWords = new Set(
  "frame frames framenumber bild bildnummer bildnr image img imagen trame fotograma beeld fotogramma immagine".split(
    " ",
  ),
);

const unitWords: readonly (readonly [TimeUnit, string])[] = [
  [
    "ms",
    "ms msec millisegundo millisegundos milissegundos millisecond milliseconds millisekunden milisegundos millisecondi millisecondes milliseconden",
  ],
  [
    "s",
    "s sec secs second seconds sek sekunde sekunden segundo segundos seg seconde secondes secondi seconden",
  ],
  ["min", "min mins minute minutes minuten minuto minutos minuti"],
  ["h", "h hour hours stunde stunden heure heures horas hora ore uur"],
];

/** Which column is the time and how it is written; null when no column can be. */
export function guessTime(input: TimeInput): TimeGuess | null {
  const candidates = [...dateCandidates(input), ...clockCandidates(input), ...numberCandidates(input)];
  candidates.sort((a, b) => b.score - a.score);
  const [best, second] = candidates;
  if (best === undefined) return null;
  const dates = guessDateOrder(input, best);
  const doubts = [...best.doubts, ...dates.doubts];
  if (second !== undefined && second.score > best.score - 0.05) {
    doubts.push({
      kind: "time column",
      field: "time.columns",
      line: null,
      column: best.columns[0] ?? null,
      guessed: nameOf(input, best),
      alternatives: [nameOf(input, second)],
      reason: `Both ${nameOf(input, best)} and ${nameOf(input, second)} could be the time.`,
    });
  }
  if (best.format === "frame number" && input.facts.frameRate === null) {
    doubts.push({
      kind: "frame rate",
      field: "time.frameRate",
      line: null,
      column: best.columns[0] ?? null,
      guessed: "not known",
      alternatives: [],
      reason: "The time is counted in frames, but the file does not say how many were taken per second.",
    });
  }
  const calendar = guessSerialEpoch(input, best);
  const start = guessStart(input, best);
  doubts.push(...calendar.doubts, ...start.doubts);
  return {
    time: {
      columns: best.columns,
      format: best.format,
      unit: best.unit,
      dateOrder: dates.order,
      frameRate: best.format === "frame number" ? input.facts.frameRate : null,
      zone: input.facts.zone,
      ...start.start,
      serialEpoch: calendar.epoch,
    },
    doubts,
    reason: best.reason,
    confidence: Math.min(1, Math.max(0, best.score)),
  };
}

function nameOf({ parts }: TimeInput, { columns }: TimeCandidate): string {
  return columns.map((column) => parts[column]?.join(" ") || `column ${column + 1}`).join(" + ");
}

function share(input: TimeInput, column: number, shape: ShapedRow["shapes"][number]): number {
  let filled = 0;
  let count = 0;
  for (const row of input.data) {
    const found = row.shapes[column];
    if (found === undefined || found === "empty" || found === "missing") continue;
    filled++;
    if (found === shape) count++;
  }
  return filled < 0.5 * input.data.length ? 0 : count / filled;
}

function dateCandidates(input: TimeInput): TimeCandidate[] {
  const list: TimeCandidate[] = [];
  for (let column = 0; column < input.columnCount; column++) {
    if (share(input, column, "date and time") > 0.9) {
      list.push({
        columns: [column],
        format: "date and time",
        unit: "s",
        score: 1,
        reason: "dates with times",
        doubts: [],
      });
    }
    if (share(input, column, "date") > 0.9) {
      const clock = Array.from({ length: input.columnCount }, (_, other) => other).find(
        (other) => other !== column && share(input, other, "clock") > 0.9,
      );
      if (clock !== undefined) {
        list.push({
          columns: [column, clock],
          format: "date and time",
          unit: "s",
          score: 0.98,
          reason: "dates and times of day in two columns",
          doubts: [],
        });
      }
    }
  }
  return list;
}

function clockCandidates(input: TimeInput): TimeCandidate[] {
  const list: TimeCandidate[] = [];
  const hasDate = Array.from({ length: input.columnCount }, (_, column) => column).some(
    (column) => share(input, column, "date") > 0.9,
  );
  for (let column = 0; column < input.columnCount; column++) {
    if (share(input, column, "clock") <= 0.9) continue;
    const cells = input.data
      .map((row) => row.cells[column] ?? "")
      .filter((cell) => cell.includes(":") || /h/i.test(cell));
    const { format, doubts } = guessClock(cells, plainText(input.parts[column]?.join(" ") ?? ""), column);
    list.push({
      columns: [column],
      format,
      unit: "s",
      score: (format === "elapsed" ? 0.93 : 0.8) - (hasDate && format === "clock" ? 0.2 : 0),
      reason: format === "clock" ? "times of day" : "elapsed hours, minutes and seconds",
      doubts,
    });
  }
  return list;
}

function numberCandidates(input: TimeInput): TimeCandidate[] {
  const list: TimeCandidate[] = [];
  for (let column = 0; column < input.columnCount; column++) {
    if (share(input, column, "number") <= 0.9) continue;
    const numbers = input.numbers[column] ?? [];
    const candidate = numberCandidate(input, column, numbers);
    if (candidate !== null) list.push(candidate);
  }
  return list;
}

/** Times rise from row to row; a named time column may also start anew, as blocks of a long layout do. */
function rises(numbers: readonly number[], named: boolean): boolean {
  let up = 0;
  let down = 0;
  for (let i = 1; i < numbers.length; i++) {
    const difference = (numbers[i] as number) - (numbers[i - 1] as number);
    if (difference > 0) up++;
    else if (difference < 0) down++;
  }
  return up > 0 && down <= (named ? 0.7 : 0.1) * up;
}

function numberCandidate(input: TimeInput, column: number, numbers: readonly number[]): TimeCandidate | null {
  const name = input.parts[column] ?? [];
  // "VO2 (mL/min)" has no time in its name, "s" alone has.
  const bare = name.map((part) => splitUnit(part).name).flatMap(wordsOf);
  const words = bare.length > 0 ? bare : name.flatMap(wordsOf);
  const named =
    words.some((word) => timeWords.has(word)) &&
    !words.some((word) => /^(temp|temperatur|temperature|hr)$/.test(word));
  const isFrame = words.some((word) => frameWords.has(word)) && numbers.every(Number.isInteger);
  if (!rises(numbers, named || isFrame)) return null;
  const first = numbers[0] ?? Number.NaN;
  const last = numbers[numbers.length - 1] ?? Number.NaN;
  const make = (
    format: TimeFormat,
    unit: TimeUnit,
    score: number,
    reason: string,
    doubts: Doubt[] = [],
  ): TimeCandidate => ({
    columns: [column],
    format,
    unit,
    score,
    reason,
    doubts,
  });
  if (isFrame) {
    return make("frame number", "s", input.facts.frameRate === null ? 0.5 : 0.6, "frame numbers");
  }
  if (first > 9.4e8 && last < 2.3e9) return make("unix", "s", 0.95, "seconds since 1970");
  if (first > 9.4e11 && last < 2.3e12) return make("unix", "ms", 0.95, "milliseconds since 1970");
  if (
    first > 36_000 &&
    last < 55_000 &&
    last - first < 30 &&
    numbers.some((value) => !Number.isInteger(value))
  ) {
    return make("spreadsheet serial", "s", 0.95, "days of a spreadsheet's calendar");
  }
  if (!named && (column > 0 || namesTrace(name) || (name.length > 0 && !constantStep(numbers)))) return null;
  const unit = statedUnit(name);
  if (unit !== null) return make("number", unit, named ? 0.95 : 0.6, `a number in ${unit}`);
  const guessed: TimeUnit = "s";
  const step = median(
    numbers
      .slice(1)
      .map((value, i) => value - (numbers[i] as number))
      .filter((value) => value > 0),
  );
  const doubts: Doubt[] = [
    {
      kind: "time unit",
      field: "time.unit",
      line: null,
      column,
      guessed,
      alternatives: ["ms", "min", "h"],
      reason: `The file does not state the unit of time; from one row to the next it grows by ${Number(step.toPrecision(6))}.`,
    },
  ];
  if (!named) {
    doubts.push({
      kind: "time column",
      field: "time.columns",
      line: null,
      column,
      guessed: nameOf(input, make("number", guessed, 0, "")),
      alternatives: [],
      reason: "No column is named as the time; the first one rises from row to row.",
    });
  }
  return make("number", guessed, named ? 0.9 : 0.4, "a rising number", doubts);
}

/** A region that warms steadily is still no time. */
function namesTrace(parts: readonly string[]): boolean {
  return (
    matchColumn(parts, { defaultStatistic: "mean" }).use.kind !== "ignore" ||
    readRegionWords(parts.join(" ")).site !== null
  );
}

function constantStep(numbers: readonly number[]): boolean {
  const steps = numbers.slice(1).map((value, i) => value - (numbers[i] as number));
  const usual = median(steps);
  return (
    usual > 0 &&
    steps.filter((step) => Math.abs(step - usual) < 1e-6 * Math.max(1, Math.abs(usual))).length >
      0.8 * steps.length
  );
}

function statedUnit(parts: readonly string[]): TimeUnit | null {
  for (const part of parts.toReversed()) {
    const { unit } = splitUnit(part);
    const candidates = [...(unit === null ? [] : wordsOf(unit)), ...wordsOf(part).toReversed()];
    for (const word of candidates) {
      const found = unitWords.find(([, words]) => words.split(" ").includes(word));
      if (found !== undefined) return found[0];
    }
  }
  return null;
}
