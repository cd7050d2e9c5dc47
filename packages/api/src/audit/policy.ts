import type { AuditValues } from "./schema";

type Value = AuditValues[string];

const isScalar = (value: unknown): value is string | number | boolean | null =>
  value === null || typeof value === "string" || typeof value === "number" || typeof value === "boolean";

/**
 * A nested document as the flat values of an entry: `{ room: { min: 1 } }` is `{ "room.min": 1 }`. Of a list that holds more
 * than texts and numbers each member is a text.
 */
export function flatValues(document: Readonly<Record<string, unknown>>, prefix = ""): AuditValues {
  const flat: Record<string, Value> = {};
  for (const [key, value] of Object.entries(document)) {
    const name = prefix === "" ? key : `${prefix}.${key}`;
    if (value === undefined) continue;
    if (isScalar(value)) flat[name] = value;
    else if (Array.isArray(value)) flat[name] = value.map(memberText);
    else Object.assign(flat, flatValues(value as Record<string, unknown>, name));
  }
  return flat;
}

function memberText(member: unknown): string | number {
  if (typeof member === "string" || typeof member === "number") return member;
  if (typeof member !== "object" || member === null) return String(member);
  return Object.entries(flatValues(member as Record<string, unknown>))
    .filter(([, value]) => value !== null && value !== "")
    .map(([name, value]) => `${name} ${Array.isArray(value) ? value.join(", ") : value}`)
    .join("; ");
}

/** Without what is empty: for what is new, where nothing was before. */
export function filledValues(values: AuditValues): AuditValues {
  const isEmpty = (value: Value) =>
    value === null || value === "" || (Array.isArray(value) && value.length === 0);
  return Object.fromEntries(Object.entries(values).filter(([, value]) => !isEmpty(value)));
}

/** Only what differs, on both sides; a value that one side has not is null there. */
export function changedValues(
  before: AuditValues,
  after: AuditValues,
): { readonly before: AuditValues; readonly after: AuditValues } {
  const names = [...new Set([...Object.keys(before), ...Object.keys(after)])].filter(
    (name) => JSON.stringify(before[name] ?? null) !== JSON.stringify(after[name] ?? null),
  );
  const only = (values: AuditValues) => Object.fromEntries(names.map((name) => [name, values[name] ?? null]));
  return { before: only(before), after: only(after) };
}

/** The lines of a text that the other has not, each as often as it is too often. */
export function changedLines(
  before: string,
  after: string,
): { readonly before: string[]; readonly after: string[] } {
  const only = (lines: readonly string[], others: readonly string[]) => {
    const left = new Map<string, number>();
    for (const line of others) left.set(line, (left.get(line) ?? 0) + 1);
    return lines.filter((line) => {
      const count = left.get(line) ?? 0;
      if (count > 0) left.set(line, count - 1);
      return count === 0;
    });
  };
  const old = before.split("\n");
  const now = after.split("\n");
  return { before: only(old, now), after: only(now, old) };
}
