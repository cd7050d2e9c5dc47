import type { DateOrder } from "../column-map";
import type { Doubt } from "../detection";
import type { TimeInput } from "./guess-time";

const numericDate = /^(\d{1,4})([./-])(\d{1,2})[./-](\d{1,4})/;

/** The order of day, month and year of the dates in the first time column. */
export function guessDateOrder(
  { data, format }: Pick<TimeInput, "data" | "format">,
  guess: { columns: readonly number[]; format: string },
): { order: DateOrder; doubts: Doubt[] } {
  const column = guess.columns[0];
  if (guess.format !== "date and time" || column === undefined)
    return { order: "year-month-day", doubts: [] };
  const firsts = new Set<number>();
  const seconds = new Set<number>();
  const thirds = new Set<number>();
  let shortYears = true;
  let separator = "";
  let example = "";
  let line: number | null = null;
  let halfDays = false;
  for (const row of data) {
    const text = row.cells[column] ?? "";
    if (row.cells.some((cell) => /\d\s?[ap]\.?\s?m\.?$/i.test(cell))) halfDays = true;
    const match = numericDate.exec(text);
    if (match === null) continue;
    const [, first = "", mark = "", second = "", third = ""] = match;
    if (first.length === 4) return { order: "year-month-day", doubts: [] };
    if (example === "") {
      example = `${first}${mark}${second}${mark}${third}`;
      separator = mark;
      line = row.line;
    }
    firsts.add(Number(first));
    seconds.add(Number(second));
    thirds.add(Number(third));
    shortYears &&= first.length <= 2 && third.length <= 2;
  }
  if (example === "") return { order: dateWithMonthName(data, column), doubts: [] };
  const largestFirst = Math.max(...firsts);
  if (largestFirst > 31) return { order: "year-month-day", doubts: [] };
  // "26-03-09": with two digits on either end the year may come first. Dots are taken to end with the year (common practice).
  const ends = [...thirds];
  const yearMayLead =
    shortYears &&
    separator !== "." &&
    firsts.size === 1 &&
    Math.max(...seconds) <= 12 &&
    ends.every((third) => third >= 1 && third <= 31);
  if (yearMayLead && thirds.size > 1) return { order: "year-month-day", doubts: [] };
  if (yearMayLead) {
    const guessed: DateOrder =
      separator === "-"
        ? "year-month-day"
        : halfDays && largestFirst <= 12 && format.decimalMark === "."
          ? "month-day-year"
          : "day-month-year";
    const possible: DateOrder[] =
      largestFirst > 12
        ? ["day-month-year", "year-month-day"]
        : ["day-month-year", "month-day-year", "year-month-day"];
    const alternatives = possible.filter((order) => order !== guessed);
    const reason = `"${example}" can be read with the year last or with the year first, and no date in the file decides it.`;
    return {
      order: guessed,
      doubts: [{ kind: "date order", field: "time.dateOrder", line, column, guessed, alternatives, reason }],
    };
  }
  if (largestFirst > 12) return { order: "day-month-year", doubts: [] };
  if (Math.max(...seconds) > 12) return { order: "month-day-year", doubts: [] };
  // A trial that passes midnight counts the day up, not the month.
  if (firsts.size > 1 && seconds.size === 1) return { order: "day-month-year", doubts: [] };
  if (seconds.size > 1 && firsts.size === 1) return { order: "month-day-year", doubts: [] };
  if (separator === "." || (largestFirst === [...seconds][0] && firsts.size === 1)) {
    return { order: "day-month-year", doubts: [] };
  }
  const order: DateOrder = halfDays && format.decimalMark === "." ? "month-day-year" : "day-month-year";
  return {
    order,
    doubts: [
      {
        kind: "date order",
        field: "time.dateOrder",
        line,
        column,
        guessed: order,
        alternatives: [order === "day-month-year" ? "month-day-year" : "day-month-year"],
        reason: `"${example}" can be read with the day first or with the month first, and no date in the file decides it.`,
      },
    ],
  };
}

function dateWithMonthName(data: TimeInput["data"], column: number): DateOrder {
  const named = data.some((row) => /^\d{1,2}\D\s?\p{L}/u.test(row.cells[column] ?? ""));
  return named ? "day-month-year" : "year-month-day";
}
