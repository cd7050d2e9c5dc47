import type { RowReason, RowsNotUsed } from "../read-result";

/** How many line numbers or cells a report lists; beyond it only counts. */
export const listed = 100;

/** Counts lines, and remembers where the first of them are. */
export class LineTally {
  count = 0;
  readonly lines: number[] = [];

  add(line: number): void {
    this.count++;
    if (this.lines.length < listed) this.lines.push(line);
  }
}

/** Rows that were not used, by reason. */
export class RowTally {
  private readonly byReason = new Map<RowReason, LineTally>();

  add(reason: RowReason, line: number): void {
    let tally = this.byReason.get(reason);
    if (tally === undefined) {
      tally = new LineTally();
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
