import { parse } from "csv-parse/sync";
import { z } from "zod";

const fieldSchema = z.object({
  name: z.string(),
  type: z.enum(["string", "integer", "number"]),
  title: z.string().min(1),
  description: z.string().min(1),
  unit: z.string().optional(),
  constraints: z
    .object({
      required: z.boolean().optional(),
      unique: z.boolean().optional(),
      enum: z.array(z.string()).optional(),
      minimum: z.number().optional(),
    })
    .optional(),
});

const resourceSchema = z.object({
  name: z.string(),
  path: z.string(),
  type: z.literal("table").optional(),
  bytes: z.int(),
  hash: z.string().regex(/^sha256:[0-9a-f]{64}$/),
  schema: z
    .object({
      fields: z.array(fieldSchema),
      missingValues: z.tuple([z.literal("")]),
      primaryKey: z.array(z.string()).optional(),
      foreignKeys: z
        .array(
          z.object({
            fields: z.array(z.string()),
            reference: z.object({ resource: z.string(), fields: z.array(z.string()) }),
          }),
        )
        .optional(),
    })
    .optional(),
});

export const descriptorSchema = z.object({ name: z.string(), resources: z.array(resourceSchema) });
export type Descriptor = z.output<typeof descriptorSchema>;

export type Row = Readonly<Record<string, string>>;

/** Rows of a CSV by column name, read by a general-purpose reader in its strict mode. */
export function rowsOf(csv: string): Row[] {
  const records: unknown = parse(csv, { columns: true, relax_column_count: false, record_delimiter: "\r\n" });
  return z.array(z.record(z.string(), z.string())).parse(records);
}

/** Everything in which the tables differ from their own schemas; empty when all rows are valid. */
export function faultsOf(descriptor: Descriptor, files: ReadonlyMap<string, string>): string[] {
  const faults: string[] = [];
  const tables = new Map<string, Row[]>();
  for (const { name, path, schema } of descriptor.resources) {
    if (schema !== undefined) tables.set(name, rowsOf(files.get(path) ?? ""));
  }
  for (const { name, path, schema } of descriptor.resources) {
    if (schema === undefined) continue;
    const header = (files.get(path) ?? "").split("\r\n")[0];
    if (header !== schema.fields.map((field) => field.name).join(","))
      faults.push(`${name}: header ${header}`);
    const rows = tables.get(name) ?? [];
    for (const field of schema.fields) {
      const cells = rows.map((row) => row[field.name] ?? "");
      const present = cells.filter((cell) => cell !== "");
      const at = `${name}.${field.name}`;
      const pattern = field.type === "integer" ? /^-?\d+$/ : /^-?\d+(\.\d+)?(e[+-]?\d+)?$/;
      if (field.type !== "string" && !present.every((cell) => pattern.test(cell)))
        faults.push(`${at}: no number`);
      const { required, unique, minimum, enum: allowed } = field.constraints ?? {};
      if (required && present.length < cells.length) faults.push(`${at}: missing`);
      if (unique && new Set(present).size < present.length) faults.push(`${at}: twice`);
      if (allowed && !present.every((cell) => allowed.includes(cell))) faults.push(`${at}: not allowed`);
      if (minimum !== undefined && !present.every((cell) => Number(cell) >= minimum))
        faults.push(`${at}: below`);
    }
    const keys = rows.map((row) => JSON.stringify((schema.primaryKey ?? []).map((column) => row[column])));
    if (schema.primaryKey && new Set(keys).size < rows.length) faults.push(`${name}: primary key twice`);
    for (const { fields, reference } of schema.foreignKeys ?? []) {
      const [field = "", referenced = ""] = [fields[0], reference.fields[0]];
      const known = new Set((tables.get(reference.resource) ?? []).map((row) => row[referenced]));
      for (const row of rows) {
        if (row[field] !== "" && !known.has(row[field])) faults.push(`${name}.${field}: refers to nothing`);
      }
    }
  }
  return faults;
}
