import type { RowReason, RowsNotUsed } from "../read-result";

/** How many cells a report lists of one column; beyond it only counts. */
export const listed = 100;

/** Counts lines, and remembers where the first of them are. */
export class LineTally {
  count = 0;
  readonly lines: number[] = [];

  constructor(private readonly most: number) {}

  add(line: number): void {
    this.count++;
    if (this.lines.length < this.most) this.lines.push(line);
  }
}

/** Rows that were not used, by reason. */
export class RowTally {
  private readonly byReason = new Map<RowReason, LineTally>();

  constructor(private readonly most: number) {}

  add(reason: RowReason, line: number): void {
    let tally = this.byReason.get(reason);
    if (tally === undefined) {
      tally = new LineTally(this.most);
      this.byReason.set(reason, tally);
    }
    tally.add(line);
  }

  countOf(reason: RowReason): number {
    return this.byReason.get(reason)?.count ?? 0;
  }

  firstLineOf(reason: RowReason): number | undefined {
    return this.byReason.get(reason)?.lines[0];
  }

  rowsNotUsed(): RowsNotUsed[] {
    return [...this.byReason].map(([reason, { count, lines }]) => ({ reason, count, lines }));
  }
}
