import type { Doubt } from "../detection";
import type { TimeCandidate, TimeInput } from "./guess-time";

/** Days from 1970-01-01 back to the day 0 of spreadsheet serials (ECMA-376 part 1, 18.17.4.1). */
const dayZero = { 1900: -25_569, 1904: -24_107 } as const;

/**
 * From which day a spreadsheet's serials count. A workbook says it, the preamble may, and so does a date written in it; a text
 * of serials alone does not.
 */
export function guessSerialEpoch(
  { facts, numbers, storedEpoch }: TimeInput,
  { format, columns }: TimeCandidate,
): { epoch: 1900 | 1904; doubts: Doubt[] } {
  const sure = (epoch: 1900 | 1904) => ({ epoch, doubts: [] });
  const [column = 0] = columns;
  const first = numbers[column]?.[0];
  if (storedEpoch !== null) return sure(storedEpoch);
  if (format !== "spreadsheet serial" || first === undefined) return sure(1900);
  if (facts.serialEpoch !== null) return sure(facts.serialEpoch);
  const day = (epoch: 1900 | 1904) =>
    new Date((Math.floor(first) + dayZero[epoch]) * 86_400_000).toISOString().slice(0, 10);
  if (facts.date === day(1900)) return sure(1900);
  if (facts.date === day(1904)) return sure(1904);
  return {
    epoch: 1900,
    doubts: [
      {
        kind: "first day",
        field: "time.serialEpoch",
        line: null,
        column,
        guessed: "1900",
        alternatives: ["1904"],
        reason: `The days are counted as spreadsheets do, and nothing says from when: from 1900 the recording was on ${day(1900)}, from 1904 on ${day(1904)}. Its course is the same.`,
      },
    ],
  };
}
