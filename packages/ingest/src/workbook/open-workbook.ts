import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import { CellStyles } from "./cell-styles";
import { damagedWorkbook } from "./damaged-workbook";
import type { DateKind } from "./number-format-kind";
import { SharedStrings } from "./shared-strings";
import { unpackEntry } from "./unpack-entry";
import { type Attributes, attributeOf, isOn, type PartHandler, XmlPart } from "./xml-part";
import { readZipDirectory, type ZipEntry } from "./zip-directory";

export interface Sheet {
  name: string;
  hidden: boolean;
  entry: ZipEntry;
}

/** A workbook with its directory read; strings and formats are unpacked when a sheet is. */
export interface Workbook {
  bytes: Uint8Array;
  limits: ReadLimits;
  epoch: 1900 | 1904;
  sheets: Sheet[];
  strings: ZipEntry | null;
  styles: ZipEntry | null;
}

/** What the cells of all sheets refer to. */
export interface CellContext {
  strings: readonly string[];
  kinds: readonly DateKind[];
}

interface Relationship {
  id: string;
  /** The last word of its type, such as "worksheet" or "sharedStrings". */
  type: string;
  target: string;
}

const mostSheets = 1000;

/** Opens an XLSX workbook (ECMA-376) as far as its list of sheets. Throws SourceFileError for any other archive. */
export function openWorkbook(bytes: Uint8Array, limits: ReadLimits): Workbook {
  const entries = new Map<string, ZipEntry>();
  for (const entry of readZipDirectory(bytes, limits)) entries.set(partName(entry.name), entry);
  refuseOthers(entries);
  const parts: Parts = { bytes, limits, entries };
  const main = relationships(parts, "_rels/.rels", "").find(({ type }) => type === "officeDocument");
  const path = main?.target ?? "xl/workbook.xml";
  if (!entries.has(path)) throw damagedWorkbook("it has no list of sheets");
  const folder = path.includes("/") ? path.slice(0, path.lastIndexOf("/")) : "";
  const related = relationships(
    parts,
    `${folder === "" ? "" : `${folder}/`}_rels/${path.slice(path.lastIndexOf("/") + 1)}.rels`,
    folder,
  );
  const list = new SheetList();
  readPart(parts, path, list);
  const byId = new Map(related.map((relationship) => [relationship.id, relationship]));
  const sheets: Sheet[] = [];
  for (const { name, hidden, id } of list.sheets) {
    const relationship = byId.get(id);
    // Sheets that hold a chart, a dialogue or macros have no rows.
    if (relationship?.type !== "worksheet") continue;
    const entry = entries.get(relationship.target);
    if (entry === undefined) throw damagedWorkbook(`its sheet "${name}" is missing`);
    sheets.push({ name, hidden, entry });
  }
  if (sheets.length === 0) throw damagedWorkbook("it has no sheet with cells");
  const partOf = (wanted: string) => {
    const relationship = related.find(({ type }) => type === wanted);
    return relationship === undefined ? null : (entries.get(relationship.target) ?? null);
  };
  return {
    bytes,
    limits,
    epoch: list.epoch,
    sheets,
    strings: partOf("sharedStrings"),
    styles: partOf("styles"),
  };
}

/** The sheet of that name; the refusal lists those that there are. */
export function sheetNamed({ sheets }: Workbook, name: string): Sheet {
  const sheet = sheets.find((candidate) => candidate.name === name);
  if (sheet !== undefined) return sheet;
  const names = sheets.slice(0, 12).map((candidate) => `"${candidate.name}"`);
  throw new SourceFileError(
    "no-such-sheet",
    `The workbook has no sheet named "${name}". It has ${names.join(", ")}${sheets.length > 12 ? " and more" : ""}. Choose the sheet that holds the recording.`,
  );
}

/** Unpacks what cells refer to, in small steps. */
export function* readCellContext({ bytes, limits, strings, styles }: Workbook): Generator<void, CellContext> {
  const shared = new SharedStrings(limits);
  if (strings !== null) yield* unpackXml(bytes, strings, limits, shared);
  const formats = new CellStyles();
  if (styles !== null) yield* unpackXml(bytes, styles, limits, formats);
  return { strings: shared.strings, kinds: formats.kinds };
}

/** Unpacks a part and parses it as it comes, in small steps. */
export function* unpackXml(
  bytes: Uint8Array,
  entry: ZipEntry,
  limits: ReadLimits,
  handler: PartHandler,
  count?: (unpacked: number) => void,
): Generator<void> {
  const xml = new XmlPart(entry.name, handler);
  yield* unpackEntry(bytes, entry, limits, (piece) => {
    count?.(piece.length);
    xml.push(piece);
  });
  xml.end();
}

interface Parts {
  bytes: Uint8Array;
  limits: ReadLimits;
  entries: ReadonlyMap<string, ZipEntry>;
}

function readPart({ bytes, limits, entries }: Parts, name: string, handler: PartHandler): void {
  const entry = entries.get(name);
  if (entry === undefined) return;
  for (const _ of unpackXml(bytes, entry, limits, handler));
}

/** Parts are named without regard to a leading slash; some programs write backslashes. */
function partName(name: string): string {
  return name.replaceAll("\\", "/").replace(/^\/+/, "");
}

function refuseOthers(entries: ReadonlyMap<string, ZipEntry>): void {
  const names = [...entries.keys()];
  const has = (pattern: RegExp) => names.some((name) => pattern.test(name));
  if (has(/^xl\/workbook\.bin$/i)) throw unsupported("a binary workbook (XLSB)");
  if (has(/^word\//i)) throw unsupported("a text document");
  if (has(/^ppt\//i)) throw unsupported("a presentation");
}

export function unsupported(what: string): SourceFileError {
  return new SourceFileError(
    "unsupported-container",
    `This is ${what}, which is not read. Open it in the program that made it, save the sheet with the recording as an XLSX workbook or as CSV, and upload that file.`,
  );
}

class SheetList implements PartHandler {
  epoch: 1900 | 1904 = 1900;
  readonly sheets: { name: string; hidden: boolean; id: string }[] = [];

  open(name: string, attributes: Attributes): void {
    if (name === "workbookPr" && isOn(attributeOf(attributes, "date1904"))) this.epoch = 1904;
    if (name !== "sheet") return;
    if (this.sheets.length >= mostSheets) throw damagedWorkbook(`it has more than ${mostSheets} sheets`);
    const state = attributeOf(attributes, "state");
    this.sheets.push({
      name: attributes.name ?? "",
      hidden: state === "hidden" || state === "veryHidden",
      id: idOf(attributes),
    });
  }

  close(): void {}

  text(): void {}
}

/** The relationship of a sheet: its "id" with a prefix, since "sheetId" is another thing. */
function idOf(attributes: Attributes): string {
  const key = Object.keys(attributes).find((name) => name === "id" || name.endsWith(":id"));
  return key === undefined ? "" : (attributes[key] ?? "");
}

function relationships(parts: Parts, name: string, folder: string): Relationship[] {
  const list: Relationship[] = [];
  readPart(parts, name, {
    open(element, attributes) {
      if (element !== "Relationship" || attributes.TargetMode === "External") return;
      list.push({
        id: attributes.Id ?? "",
        type: (attributes.Type ?? "").split("/").at(-1) ?? "",
        target: resolved(folder, attributes.Target ?? ""),
      });
    },
    close() {},
    text() {},
  });
  return list;
}

function resolved(folder: string, target: string): string {
  const parts = target.startsWith("/") || folder === "" ? [] : folder.split("/");
  for (const part of target.replaceAll("\\", "/").split("/")) {
    if (part === "..") parts.pop();
    else if (part !== "" && part !== ".") parts.push(part);
  }
  return parts.join("/");
}
