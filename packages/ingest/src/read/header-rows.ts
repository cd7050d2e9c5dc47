import type { ColumnMap } from "../column-map";
import { SourceFileError } from "../source-file-error";
import { composeNames } from "./compose-names";

/** The header of a file, held against the column map, and against itself where it comes again. */
export class HeaderRows {
  checked = false;
  /** Names of the columns in the block at hand. */
  names: readonly string[] = [];
  /** How many columns the lowest header row so far names; without a header nobody says it. */
  width: number | null = null;
  private readonly rows: string[][] = [];
  private readonly place: string;

  constructor(private readonly map: ColumnMap) {
    this.place = map.sheet === null ? "line" : "row";
  }

  add(cells: string[]): void {
    this.rows.push(cells);
  }

  /** A column map is bound to the names it was made for: another header would put numbers under wrong regions. */
  check(): void {
    this.checked = true;
    const { headerLines, columns } = this.map;
    this.names = composeNames(this.rows);
    if (headerLines.length === 0) return;
    this.width = this.rows.at(-1)?.length ?? null;
    const line = headerLines[0] ?? 1;
    if (this.rows.length < headerLines.length) {
      throw new SourceFileError(
        "header-differs",
        `The column map expects a header on ${this.place} ${headerLines.join(" and ")}, but no row begins there. Detect the columns of this file anew.`,
        { line },
      );
    }
    for (const { index, name, use } of columns) {
      if (use.kind === "ignore") continue;
      const found = this.names[index] ?? "";
      if (found !== plain(name)) {
        throw new SourceFileError(
          "header-differs",
          `Column ${index + 1} is named "${found}" in this file, but "${name}" in the column map: the map belongs to another layout. Detect the columns of this file anew.`,
          { line, column: index + 1 },
        );
      }
    }
  }

  /** Whether a row that has this text in the time column is (the lowest row of) the header once more. */
  isRepeatedBy(text: string, timeColumn: number): boolean {
    return text !== "" && this.rows.some((cells) => cells[timeColumn] === text);
  }

  /**
   * Takes the header that comes again on this line. Below other names the numbers would belong to other regions: that is
   * refused, except in a layout in blocks, where the names say what each block holds.
   */
  repeat(line: number, cells: readonly string[]): { appeared: boolean } {
    const timeColumn = this.map.time.columns[0] ?? 0;
    const row = this.rows.findLast((candidate) => candidate[timeColumn] === cells[timeColumn]) ?? [];
    const compared = this.compare(line, cells, row);
    this.width = cells.length;
    return compared;
  }

  /**
   * Whether a row without a time is an upper row of the header once more (regions over their statistics): texts where it has
   * texts, and nothing elsewhere. Refused like the lower one when the names are others.
   */
  repeatsUpper(line: number, cells: readonly string[]): boolean {
    const filled = (row: readonly string[]) =>
      row.flatMap((text, index) => (text === "" ? [] : [index])).join(" ");
    const upper = this.rows.slice(0, -1).find((row) => filled(row) === filled(cells));
    if (upper === undefined) return false;
    this.compare(line, cells, upper);
    return true;
  }

  private compare(line: number, cells: readonly string[], row: readonly string[]): { appeared: boolean } {
    if (this.map.layout === "blocks") {
      this.names = composeNames([...this.rows.filter((other) => other !== row), [...cells]]);
      return { appeared: false };
    }
    for (const [index, use] of this.usesUnder(row)) {
      const before = plain(row[index] ?? "");
      const now = plain(cells[index] ?? "");
      if (use === "ignore" || before === now || before === "" || now === "") continue;
      throw new SourceFileError(
        "blocks-differ",
        `The header comes again on ${this.place} ${line} with other names: column ${index + 1} is "${now}" there, but "${before}" above. What follows is another table. Split the file there and upload its parts.`,
        { line, column: index + 1 },
      );
    }
    return { appeared: cells.some((text, index) => text !== "" && (row[index] ?? "") === "") };
  }
  /** An upper name stands over the columns up to the next one. */
  private usesUnder(row: readonly string[]): [number, string][] {
    const uses = new Map(this.map.columns.map(({ index, use }) => [index, use.kind]));
    return row.flatMap((text, index): [number, string][] => {
      if (text === "") return [];
      const next = row.findIndex((other, i) => i > index && other !== "");
      const until = next < 0 ? Math.max(row.length, this.map.columns.length) : next;
      const under = Array.from({ length: until - index }, (_, i) => uses.get(index + i) ?? "ignore");
      return [[index, under.find((use) => use !== "ignore") ?? "ignore"]];
    });
  }
}

function plain(name: string): string {
  return name.replace(/\s+/g, " ").trim();
}
