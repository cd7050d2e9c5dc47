import type { ColumnMap } from "../../src/index";

/** A field of the column map that is set to something else before reading. */
export interface MapChange {
  /** Path of the field, such as "time.format". */
  field: string;
  value: unknown;
}

/** One thing to try: a file, and what is changed in the column map that detection proposes for it. */
export interface FuzzInput {
  bytes: Uint8Array;
  changes: readonly MapChange[];
}

export function withChanges(columnMap: ColumnMap, changes: readonly MapChange[]): ColumnMap {
  const changed: unknown = structuredClone(columnMap);
  for (const { field, value } of changes) set(changed, field.split("."), value);
  // May be no column map at all any more: whether the reader says so is what is tried.
  return changed as ColumnMap;
}

function set(target: unknown, [key = "", ...rest]: readonly string[], value: unknown): void {
  if (typeof target !== "object" || target === null) return;
  const record = target as Record<string, unknown>;
  if (rest.length === 0) record[key] = value;
  else set(record[key], rest, value);
}
