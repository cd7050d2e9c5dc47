import { DateTimeReader } from "../parse/date-time";

/** What a cell looks like before the number format is known. */
export type CellShape = "empty" | "missing" | "number" | "date" | "date and time" | "clock" | "text";

/** Words that instruments and people write for "no value" (common practice, several languages). */
export const missingWords: readonly string[] = [
  "nan",
  "na",
  "n/a",
  "#n/a",
  "null",
  "none",
  "nil",
  "-",
  "--",
  "---",
  "----",
  "–",
  "—",
  "...",
  "?",
  "*",
  ".",
  "missing",
  "invalid",
  "void",
  "error",
  "err",
  "fault",
  "open",
  "out of range",
  "out-of-range",
  "oor",
  "over range",
  "under range",
  "over-range",
  "under-range",
  "above range",
  "below range",
  "overload",
  "ol",
  "o.l",
  "hi",
  "lo",
  "no data",
  "no signal",
  "n.a.",
  "n.d.",
  "disconnected",
  "over",
  "under",
  "overrange",
  "underrange",
  "overflow",
  "underflow",
  "ovfl",
  "inf",
  "+inf",
  "-inf",
  "fehlt",
  "ungültig",
  "fehler",
  "k.a.",
  "k. a.",
  "außer bereich",
  "bereich überschritten",
  "bereich unterschritten",
  "überlauf",
  "manquant",
  "absent",
  "hors plage",
  "hors gamme",
  "hors limites",
  "erreur",
  "faltante",
  "sin dato",
  "sin datos",
  "fuera de rango",
  "s/d",
  "mancante",
  "assente",
  "fuori scala",
  "fuori campo",
  "ontbreekt",
  "geen",
  "n.v.t.",
  "buiten bereik",
  "ausente",
  "em falta",
  "fora de faixa",
  "sem dados",
];

const missing = new Set(missingWords);
const numberShape =
  /^[+\-\u2212]?(?:\d[\d.,'\u2019 \u00a0\u2007\u2009\u202f]*|[.,]\d+)(?:[eE][+-]?\d+)?(?:\s?(?:[°º]\s?[CFK]?|[CFK%]|°))?$/u;
const dateStart =
  /^(?:\d{1,4}[./\- ](?:\d{1,2}|\p{L}{3,12}\.?)[./\- ,]+\d{1,4}|\d{8}T|\p{L}{3,9}\.? \d{1,2},? \d{4})/u;
const reader = new DateTimeReader();

export function asciiBytes(text: string): Uint8Array {
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    bytes[i] = code < 256 ? code : code === 0x202f || code === 0x2009 ? 32 : 63;
  }
  return bytes;
}

export function isMissingWord(text: string): boolean {
  return missing.has(text.toLowerCase());
}

export function cellShape(text: string): CellShape {
  if (text === "") return "empty";
  if (text.length > 60) return "text";
  const first = text.charCodeAt(0);
  if (text.includes(":") || /[hH]/.test(text)) {
    const bytes = asciiBytes(text);
    reader.reset();
    if (reader.readClock(bytes, 0, bytes.length) || reader.readElapsed(bytes, 0, bytes.length))
      return "clock";
  }
  if (dateStart.test(text)) {
    const bytes = asciiBytes(text);
    for (const order of ["day-month-year", "month-day-year", "year-month-day"] as const) {
      reader.reset();
      if (reader.readDate(bytes, 0, bytes.length, order)) return reader.hasTime ? "date and time" : "date";
    }
  }
  if (first <= 57 || first === 0x2212) {
    if (numberShape.test(text)) return "number";
  }
  return isMissingWord(text) ? "missing" : "text";
}

export function isReadable(shape: CellShape): boolean {
  return shape === "number" || shape === "date" || shape === "date and time" || shape === "clock";
}
