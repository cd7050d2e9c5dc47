import type { z } from "zod";

/** Strings inside of an input that somebody could write anything into, found by the schema of the procedure. */

/** What names a record or a choice by its key: it is tried apart, since a wrong one is refused. */
const namesSomething = /(Id|Key|^key|^token|^code|^series|^measure|^unit|^order|^sheet)$/;

/** The name of the field that a place ends in, also for an entry of a list. */
const fieldOf = (place: string) =>
  place
    .split(/[ .]/)
    .filter((part) => !/^\d+$/.test(part))
    .at(-1) ?? "";

/** Markup, a query that ends another one, and signs of patterns, templates and paths; the number tells them apart. */
const payloads = (number: number) => [
  `#${number}# '"); drop table volunteer; -- <img src=x onerror=alert(${number})>\\ %_ \${7*7} {{7*7}} ../ \u2028`.trim(),
  `#${number}# '"); drop table volunteer;-- <svg onload=x>`,
  `#${number}#';<b>"`,
];

export interface Written {
  /** "trial.setAside reason", with dots into objects and arrays. */
  readonly place: string;
  readonly text: string;
}

interface Walk {
  readonly make: () => number;
  readonly written: Written[];
}

type AnySchema = z.core.$ZodType;

function hostile(schema: AnySchema, place: string, walk: Walk): string | null {
  const number = walk.make();
  for (const text of payloads(number)) {
    const parsed = (schema as z.ZodType).safeParse(text);
    if (!parsed.success) continue;
    walk.written.push({ place, text });
    return text;
  }
  return null;
}

/** The value with every free text replaced, also texts that may be absent; everything else as it was. */
export function withHostileText(schema: AnySchema, value: unknown, place: string, walk: Walk): unknown {
  const { def } = schema._zod as unknown as { def: Record<string, unknown> & { type: string } };
  const inner = (key: string) => def[key] as AnySchema;
  switch (def.type) {
    case "string":
      return namesSomething.test(fieldOf(place)) ? value : (hostile(schema, place, walk) ?? value);
    case "object": {
      const given = (value ?? {}) as Record<string, unknown>;
      const shape = def.shape as Record<string, AnySchema>;
      const made: Record<string, unknown> = { ...given };
      for (const [key, part] of Object.entries(shape)) {
        const joined = place.includes(" ") ? `${place}.${key}` : `${place} ${key}`;
        const found = withHostileText(part, given[key], joined, walk);
        if (found !== undefined) made[key] = found;
      }
      return made;
    }
    case "array":
      return Array.isArray(value)
        ? value.map((item, index) => withHostileText(inner("element"), item, `${place}.${index}`, walk))
        : value;
    case "optional":
    case "nullable":
    case "default":
    case "prefault":
    case "readonly": {
      // An object that is absent stays absent: what it needs beside its texts is nobody's to invent.
      const type = (inner("innerType")._zod.def as { type: string }).type;
      const absent = value === undefined || value === null;
      return absent && (type === "object" || type === "union")
        ? value
        : withHostileText(inner("innerType"), value, place, walk);
    }
    case "pipe":
      return withHostileText(inner("in"), value, place, walk);
    case "union": {
      const option = (def.options as AnySchema[]).find((one) => (one as z.ZodType).safeParse(value).success);
      return option === undefined ? value : withHostileText(option, value, place, walk);
    }
    default:
      return value;
  }
}
