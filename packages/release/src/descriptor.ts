import type { ReleaseFacts, StudyToRelease } from "./release-input";
import type { Column, Table } from "./table";

/** A file of the package as it was written. */
export interface WrittenFile {
  readonly path: string;
  readonly bytes: number;
  /** Lower-case hexadecimal. */
  readonly sha256: string;
  readonly content: { readonly kind: "table"; readonly table: Table } | PlainContent;
}

export interface PlainContent {
  readonly kind: "plain";
  readonly name: string;
  readonly title: string;
  readonly mediatype: string;
}

/** `datapackage.json` after the Data Package standard, version 2 (datapackage.org, June 2024). */
export function descriptorOf(
  study: StudyToRelease,
  release: ReleaseFacts,
  files: readonly WrittenFile[],
): Record<string, unknown> {
  return {
    $schema: "https://datapackage.org/profiles/2.0/datapackage.json",
    name: `release-${release.number}`,
    title: study.title,
    description: study.summary,
    version: `${release.number}.0.0`,
    ...(release.auditHead && {
      auditTrail: { lastEntry: release.auditHead.entry, hash: `sha256:${release.auditHead.sha256}` },
    }),
    licenses: [{ name: release.licence.name, title: release.licence.title, path: release.licence.path }],
    resources: files.map(resourceOf),
  };
}

function resourceOf(file: WrittenFile): Record<string, unknown> {
  const integrity = { bytes: file.bytes, hash: `sha256:${file.sha256}` };
  const { content } = file;
  if (content.kind === "plain") {
    const { name, title, mediatype } = content;
    return { name, path: file.path, title, mediatype, encoding: "utf-8", ...integrity };
  }
  const { table } = content;
  return {
    name: table.name,
    path: file.path,
    type: "table",
    title: table.title,
    description: table.description,
    format: "csv",
    mediatype: "text/csv",
    encoding: "utf-8",
    ...integrity,
    schema: {
      $schema: "https://datapackage.org/profiles/2.0/tableschema.json",
      fields: table.columns.map(fieldOf),
      missingValues: [""],
      ...(table.primaryKey && { primaryKey: table.primaryKey }),
      ...(table.foreignKeys && {
        foreignKeys: table.foreignKeys.map(({ field, table: resource, referenced }) => ({
          fields: [field],
          reference: { resource, fields: [referenced] },
        })),
      }),
    },
  };
}

function fieldOf(column: Column): Record<string, unknown> {
  const constraints = {
    ...(column.required && { required: true }),
    ...(column.unique && { unique: true }),
    ...(column.enum && { enum: column.enum }),
    ...(column.minimum !== undefined && { minimum: column.minimum }),
  };
  return {
    name: column.name,
    type: column.type,
    title: column.title,
    description: column.description,
    ...(column.unit !== undefined && { unit: column.unit }),
    ...(Object.keys(constraints).length > 0 && { constraints }),
  };
}
