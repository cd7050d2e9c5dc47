import { fieldName, valueText } from "./value-words";

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
    .map((name) => ({ name: fieldName(name), before: old.get(name) ?? null, after: now.get(name) ?? null }))
    .filter((change) => change.before !== change.after);
}

function fieldsOf(values: unknown): Map<string, string> {
  if (typeof values !== "object" || values === null) return new Map();
  return new Map(Object.entries(values).map(([name, value]) => [name, valueText(value)]));
}
