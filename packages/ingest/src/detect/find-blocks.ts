import type { ColumnMap, MappedColumn } from "../column-map";
import { cellEncoding } from "../decode/text-bytes";
import type { Doubt } from "../detection";
import { matchColumn } from "../match/match-column";
import { titleOf } from "../read/block-title";
import type { RowScanner } from "../scan/row-scanner";
import { SourceFileError } from "../source-file-error";
import type { Header } from "./find-header";
import type { Table } from "./find-table";
import { type LongGuess, seriesOf } from "./long-series";
import { type Place, placeOf, type Source } from "./source";
import { type ColumnsInput, nameContext } from "./wide-columns";

/** So much of a file is looked through for a header that comes again. */
const lookedThrough = 4 * 2 ** 20;
const mostBlocks = 500;

/** One of several tables below each other. */
export interface Block {
  /** The text right above the header; "" when there is none. */
  title: string;
  /** Names of its columns. */
  names: string[];
  line: number;
}

export type Blocks =
  /** Titles or names say what each block holds: they are series. */
  | { kind: "series"; blocks: Block[]; doubts: Doubt[] }
  /** The same table goes on, or begins anew. */
  | { kind: "same"; doubts: Doubt[] };

/** Looks for the header further down; null when it stands only once. */
export function findBlocks(
  source: Source,
  table: Table,
  header: Header,
  time: ColumnMap["time"],
): Blocks | null {
  const [timeColumn = 0] = time.columns;
  const nearest = header.rows.at(-1);
  const name = nearest?.cells[timeColumn] ?? "";
  if (nearest === undefined || name === "" || header.rows.length > 1) return null;
  const walk = new BlockWalk(source, time, name);
  try {
    source.scan(table, walk, lookedThrough);
  } catch (error) {
    // What is broken further down is said by the reader, with its place; up to there the rows are what they are.
    if (!(error instanceof SourceFileError)) throw error;
  }
  const { blocks } = walk;
  if (blocks.length < 2) return null;
  const titled =
    blocks.every(({ title }) => title !== "") && blocks.every(({ title }) => namesSomething(title));
  const named = blocks.map(({ title, names, line }) => ({ title: titled ? title : "", names, line }));
  if (areSeries(named, titled, timeColumn)) return { kind: "series", blocks: named, doubts: [] };
  return { kind: "same", doubts: walk.restart === null ? [] : [restartDoubt(walk.restart, placeOf(source))] };
}

/** Each block is something else: by its title, or, without titles, by the name of every column. */
function areSeries(blocks: readonly Block[], titled: boolean, timeColumn: number): boolean {
  const keys = blocks.flatMap(({ title, names }) =>
    titled ? [title] : names.flatMap((name, i) => (i === timeColumn || name === "" ? [] : [`${i} ${name}`])),
  );
  return new Set(keys).size === keys.length;
}

/** A title that no series can be found in is a note. */
function namesSomething(title: string): boolean {
  return matchColumn([title], { defaultStatistic: "mean" }).use.kind !== "ignore";
}

/** What the blocks hold, as the series of a long layout. */
export function blockSeries(input: ColumnsInput, blocks: readonly Block[]): LongGuess {
  const context = nameContext(input.facts);
  const [first] = blocks;
  const isValue = (index: number) =>
    !input.timeColumns.includes(index) &&
    blocks.some(
      ({ title, names }) => matchColumn([title, names[index] ?? ""], context).use.kind !== "ignore",
    );
  const columns = Array.from({ length: input.columnCount }, (_, index): MappedColumn => {
    const use: MappedColumn["use"] = input.timeColumns.includes(index)
      ? { kind: "time" }
      : { kind: isValue(index) ? "value" : "ignore" };
    return { index, name: first?.names[index] ?? "", use, unit: null };
  });
  const valueColumns = columns.filter(({ use }) => use.kind === "value").map(({ index }) => index);
  const keys = blocks.flatMap(({ title, names }) =>
    valueColumns.map((column) => ({ key: [title, names[column] ?? ""], valueColumn: column })),
  );
  return seriesOf(input, columns, keys);
}

/** Goes through the rows and remembers each header with what stands right above it. */
class BlockWalk {
  readonly blocks: Block[] = [];
  /** Where a header was followed by an earlier time than the one before it. */
  restart: { line: number; before: number; after: number } | null = null;
  private readonly encoding: ReturnType<typeof cellEncoding>;
  private readonly timeColumn: number;
  private title = "";
  private headerLine: number | null = null;
  private previous = Number.NaN;

  constructor(
    source: Source,
    private readonly time: ColumnMap["time"],
    private readonly name: string,
  ) {
    this.encoding = cellEncoding(source.encoding);
    this.timeColumn = time.columns[0] ?? 0;
  }

  row(row: RowScanner): void {
    if (row.isBlank() || this.blocks.length >= mostBlocks) return;
    const seconds = this.secondsOf(row);
    if (seconds !== null) {
      this.title = "";
      if (this.headerLine !== null && this.blocks.length > 1 && seconds < this.previous) {
        this.restart ??= { line: this.headerLine, before: this.previous, after: seconds };
      }
      this.headerLine = null;
      this.previous = seconds;
      return;
    }
    const cells = Array.from({ length: Math.min(row.cellCount, 4096) }, (_, i) => row.text(i, this.encoding));
    if (cells[this.timeColumn] !== this.name) {
      this.title = titleOf(cells);
      return;
    }
    this.blocks.push({
      title: this.title,
      names: cells.map((cell) => cell.replace(/\s+/g, " ")),
      line: row.line,
    });
    this.title = "";
    this.headerLine = row.line;
  }

  /** Only times that count from a zero can begin anew; of others it is enough that a row has one. */
  private secondsOf(row: RowScanner): number | null {
    const text = row.text(this.timeColumn, this.encoding);
    if (text === "" || !/^[-+\u2212.,]?\d/.test(text)) return null;
    if (this.time.format !== "number" && this.time.format !== "frame number") return Number.NaN;
    return Number(text.replace(",", "."));
  }
}

function restartDoubt(
  { line, before, after }: { line: number; before: number; after: number },
  place: Place,
): Doubt {
  return {
    kind: "blocks",
    field: "firstDataLine",
    line,
    column: null,
    guessed: "one table",
    alternatives: [],
    reason: `The header comes again on ${place} ${line} and the time begins anew there (${after} after ${before}): the file holds several recordings, and nothing says how much time lies between them. Split it there and upload its parts.`,
  };
}
