/** What a number format shows of a number that counts days; null: it is shown as a number. */
export type DateKind = "date" | "date and time" | "time of day" | "elapsed" | null;

/** Formats that workbooks know by number alone (ECMA-376 part 1, 18.8.30, with those of East Asian calendars). */
const builtIn: ReadonlyMap<number, DateKind> = new Map<number, DateKind>([
  ...[14, 15, 16, 17, 27, 28, 29, 30, 31, 36, 50, 51, 52, 53, 54, 57, 58].map((id): [number, DateKind] => [
    id,
    "date",
  ]),
  ...[18, 19, 20, 21, 32, 33, 34, 35, 55, 56].map((id): [number, DateKind] => [id, "time of day"]),
  [22, "date and time"],
  ...[45, 46, 47].map((id): [number, DateKind] => [id, "elapsed"]),
]);

export function builtInKind(id: number): DateKind {
  return builtIn.get(id) ?? null;
}

/** What a format code such as "dd.mm.yyyy hh:mm:ss.000" shows (ECMA-376 part 1, 18.8.31). */
export function numberFormatKind(code: string): DateKind {
  const [section = ""] = code.slice(0, 255).split(";");
  // Texts in quotes, characters that stand for themselves, gaps, and fills are no tokens.
  const bare = section.replace(/"[^"]*"?|\\.|_.|\*./g, "");
  if (/\[(?:h+|m+|s+)\]/i.test(bare)) return "elapsed";
  const tokens = bare.replace(/\[[^\]]*\]/g, "").toLowerCase();
  if (/general|standard/.test(tokens)) return null;
  const time = /[hs]|am\/pm|a\/p/.test(tokens);
  const date = /[yd]/.test(tokens) || (/m/.test(tokens) && !time);
  if (date) return time ? "date and time" : "date";
  if (!time) return null;
  return /h/.test(tokens) ? "time of day" : "elapsed";
}
