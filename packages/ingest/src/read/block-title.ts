import type { ColumnMap } from "../column-map";
import type { RowScanner } from "../scan/row-scanner";

/** The line above a header that says what the block below it is about. Which line that is shows only at the header. */
export class BlockTitle {
  private line = 0;
  private text = "";
  private held = false;

  /** Only in a layout in blocks a row without a time may be a title. */
  isPossible({ layout }: ColumnMap, row: RowScanner): boolean {
    return layout === "blocks" && row.terminated;
  }

  /** A row before the data, which is counted as such whatever it says. */
  see(line: number, cells: readonly string[]): void {
    this.line = line;
    this.text = titleOf(cells);
  }

  /** A row in the data that is a title if a header follows. */
  hold(line: number, cells: readonly string[]): void {
    this.see(line, cells);
    this.held = true;
  }

  isHeld(line: number): boolean {
    return this.held && this.line === line;
  }

  /** The header follows: what was held is the title. */
  follow(count: (line: number) => void): void {
    if (this.held) count(this.line);
    this.held = false;
  }

  /** No header follows: what was held is no title. */
  drop(count: (line: number) => void): void {
    if (!this.held) return;
    count(this.line);
    this.held = false;
    this.text = "";
  }

  take(): string {
    const { text } = this;
    this.text = "";
    return text;
  }
}

export function titleOf(cells: readonly string[]): string {
  return cells
    .map((cell) => cell.replace(/\s+/g, " ").trim())
    .filter((cell) => cell !== "")
    .join(" ");
}
