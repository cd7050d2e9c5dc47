import { strToU8, type Zippable, zipSync } from "fflate";

/**
 * Writes an XLSX workbook from what its cells are to store, down to the spelling of a number, so that a test or a corpus
 * file says exactly what is in it. Written from ECMA-376 part 1; it imitates no program.
 */

export type WrittenCell =
  /** Stored as a number, spelt like this; `format` is a number format code. */
  | { number: string; format?: string }
  | { shared: string }
  | { inline: string }
  | { boolean: boolean }
  | { error: string }
  /** An ISO 8601 date as a cell of kind "d". */
  | { iso: string }
  /** A formula with the value that was computed last; null: it was never computed. */
  | { formula: string; value: string | null; format?: string }
  | null;

export interface WrittenSheet {
  name: string;
  hidden?: boolean;
  /** By row; null leaves the row out of the file altogether. */
  rows: readonly (readonly WrittenCell[] | null)[];
  hiddenRows?: readonly number[];
  /** Columns from 1. */
  hiddenColumns?: readonly number[];
  merged?: readonly string[];
  /** Leave out the names of rows and cells, which are optional. */
  bare?: boolean;
}

export interface WrittenWorkbook {
  sheets: readonly WrittenSheet[];
  epoch?: 1900 | 1904;
  /** A namespace prefix for all elements of sheets, such as "x". */
  prefix?: string;
}

const main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const relations = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
const packageRelations = "http://schemas.openxmlformats.org/package/2006/relationships";
const declaration = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n';

function escaped(text: string): string {
  return text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;");
}

export function columnName(index: number): string {
  const letter = String.fromCharCode(65 + (index % 26));
  return index < 26 ? letter : columnName(Math.floor(index / 26) - 1) + letter;
}

class Writer {
  readonly strings: string[] = [];
  readonly formats: string[] = [];
  private readonly places = new Map<string, number>();

  constructor(private readonly prefix: string) {}

  sheet({ rows, hiddenRows = [], hiddenColumns = [], merged = [], bare = false }: WrittenSheet): string {
    const p = this.prefix;
    const columns = hiddenColumns
      .map((column) => `<${p}col min="${column}" max="${column}" hidden="1"/>`)
      .join("");
    const body = rows
      .map((cells, i) => {
        if (cells === null) return "";
        const attributes = (bare ? "" : ` r="${i + 1}"`) + (hiddenRows.includes(i + 1) ? ' hidden="1"' : "");
        return `<${p}row${attributes}>${cells.map((cell, j) => this.cell(cell, bare ? "" : ` r="${columnName(j)}${i + 1}"`)).join("")}</${p}row>`;
      })
      .join("");
    const merges =
      merged.length === 0
        ? ""
        : `<${p}mergeCells>${merged.map((ref) => `<${p}mergeCell ref="${ref}"/>`).join("")}</${p}mergeCells>`;
    const namespace = p === "" ? `xmlns="${main}"` : `xmlns:${p.slice(0, -1)}="${main}"`;
    return `${declaration}<${p}worksheet ${namespace}>${columns === "" ? "" : `<${p}cols>${columns}</${p}cols>`}<${p}sheetData>${body}</${p}sheetData>${merges}</${p}worksheet>`;
  }

  private cell(cell: WrittenCell, place: string): string {
    const p = this.prefix;
    if (cell === null) return place === "" ? `<${p}c/>` : "";
    const value = (text: string) => `<${p}v>${escaped(text)}</${p}v>`;
    if ("number" in cell) return `<${p}c${place}${this.style(cell.format)}>${value(cell.number)}</${p}c>`;
    if ("shared" in cell) return `<${p}c${place} t="s">${value(String(this.place(cell.shared)))}</${p}c>`;
    if ("inline" in cell)
      return `<${p}c${place} t="inlineStr"><${p}is><${p}t xml:space="preserve">${escaped(cell.inline)}</${p}t></${p}is></${p}c>`;
    if ("boolean" in cell) return `<${p}c${place} t="b">${value(cell.boolean ? "1" : "0")}</${p}c>`;
    if ("error" in cell) return `<${p}c${place} t="e">${value(cell.error)}</${p}c>`;
    if ("iso" in cell) return `<${p}c${place} t="d">${value(cell.iso)}</${p}c>`;
    const computed = cell.value === null ? "" : value(cell.value);
    return `<${p}c${place}${this.style(cell.format)}><${p}f>${escaped(cell.formula)}</${p}f>${computed}</${p}c>`;
  }

  private style(format: string | undefined): string {
    if (format === undefined) return "";
    let at = this.formats.indexOf(format);
    if (at < 0) at = this.formats.push(format) - 1;
    return ` s="${at + 1}"`;
  }

  private place(text: string): number {
    const known = this.places.get(text);
    if (known !== undefined) return known;
    this.places.set(text, this.strings.length);
    return this.strings.push(text) - 1;
  }
}

export function writeWorkbook({ sheets, epoch = 1900, prefix }: WrittenWorkbook): Uint8Array {
  const writer = new Writer(prefix === undefined ? "" : `${prefix}:`);
  const bodies = sheets.map((sheet) => writer.sheet(sheet));
  const relation = (id: string, type: string, target: string) =>
    `<Relationship Id="${id}" Type="${relations}/${type}" Target="${target}"/>`;
  const files: Record<string, string> = {
    "[Content_Types].xml": `${declaration}<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>${sheets.map((_, i) => `<Override PartName="/xl/worksheets/sheet${i + 1}.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>`).join("")}<Override PartName="/xl/styles.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"/><Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>`,
    "_rels/.rels": `${declaration}<Relationships xmlns="${packageRelations}">${relation("r1", "officeDocument", "xl/workbook.xml")}</Relationships>`,
    "xl/workbook.xml": `${declaration}<workbook xmlns="${main}" xmlns:r="${relations}"><workbookPr${epoch === 1904 ? ' date1904="1"' : ""}/><sheets>${sheets.map(({ name, hidden }, i) => `<sheet name="${escaped(name)}" sheetId="${i + 1}"${hidden ? ' state="hidden"' : ""} r:id="r${i + 1}"/>`).join("")}</sheets></workbook>`,
    "xl/_rels/workbook.xml.rels": `${declaration}<Relationships xmlns="${packageRelations}">${sheets.map((_, i) => relation(`r${i + 1}`, "worksheet", `worksheets/sheet${i + 1}.xml`)).join("")}${relation("rStyles", "styles", "styles.xml")}${relation("rStrings", "sharedStrings", "/xl/sharedStrings.xml")}</Relationships>`,
    "xl/styles.xml": `${declaration}<styleSheet xmlns="${main}"><numFmts count="${writer.formats.length}">${writer.formats.map((code, i) => `<numFmt numFmtId="${164 + i}" formatCode="${escaped(code)}"/>`).join("")}</numFmts><fonts count="1"><font/></fonts><fills count="1"><fill/></fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="${writer.formats.length + 1}"><xf numFmtId="0"/>${writer.formats.map((_, i) => `<xf numFmtId="${164 + i}" applyNumberFormat="1"/>`).join("")}</cellXfs></styleSheet>`,
    "xl/sharedStrings.xml": `${declaration}<sst xmlns="${main}" count="${writer.strings.length}" uniqueCount="${writer.strings.length}">${writer.strings.map((text) => `<si><t xml:space="preserve">${escaped(text)}</t></si>`).join("")}</sst>`,
    ...Object.fromEntries(bodies.map((body, i) => [`xl/worksheets/sheet${i + 1}.xml`, body])),
  };
  const zippable: Zippable = Object.fromEntries(
    // A fixed local time, so that the bytes are the same on every day and in every zone.
    Object.entries(files).map(([name, text]) => [
      name,
      [strToU8(text), { mtime: new Date(2026, 1, 3, 9, 30) }],
    ]),
  );
  return zipSync(zippable);
}

/** Cells of texts, stored once and shared. */
export const texts = (...list: string[]): WrittenCell[] => list.map((shared) => ({ shared }));

/** Cells of numbers, stored as they are spelt. */
export const numbers = (...list: string[]): WrittenCell[] => list.map((number) => ({ number }));
