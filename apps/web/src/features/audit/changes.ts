import { formatMoment } from "@/components/format-moment";

export interface Change {
  readonly name: string;
  readonly before: string | null;
  readonly after: string | null;
}

/** What an entry says stood there before and stands there now, field by field; equal fields are left out. */
export function changesOf(before: unknown, after: unknown): Change[] {
  const old = fieldsOf(before);
  const now = fieldsOf(after);
  return [...new Set([...old.keys(), ...now.keys()])]
    .map((name) => ({ name: wordsOf(name), before: old.get(name) ?? null, after: now.get(name) ?? null }))
    .filter((change) => change.before !== change.after);
}

function fieldsOf(values: unknown): Map<string, string> {
  if (typeof values !== "object" || values === null) return new Map();
  return new Map(Object.entries(values).map(([name, value]) => [name, textOf(value)]));
}

const moment = /^\d{4}-\d{2}-\d{2}T[\d:.]+Z$/;

function textOf(value: unknown): string {
  if (Array.isArray(value)) return value.length === 0 ? "none" : value.map(textOf).join("; ");
  if (value === null || value === "") return "none";
  if (typeof value === "string")
    return moment.test(value) ? formatMoment(value) : value.replaceAll("not_stated", "not stated");
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

/** "birthYear" → "birth year". */
function wordsOf(name: string): string {
  return name.replace(
    /([a-z])([A-Z])/g,
    (_, before: string, letter: string) => `${before} ${letter.toLowerCase()}`,
  );
}
