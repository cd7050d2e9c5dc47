/** The numbers of a figure. The first column names the row. */
export interface FigureTable {
  readonly columns: readonly FigureColumn[];
  readonly rows: readonly (readonly (string | number | null)[])[];
}

export interface FigureColumn {
  readonly label: string;
  readonly unit?: string;
  /** Digits after the decimal mark on the screen; the saved file has them all. Default 2. */
  readonly digits?: number;
}

/** The table as comma-separated values (RFC 4180), numbers in full precision, missing values empty. */
export function figureTableAsCsv(table: FigureTable): string {
  const field = (value: string | number | null) => {
    const text = value === null ? "" : String(value);
    return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  };
  const header = table.columns.map((column) =>
    field(
      column.unit === undefined || column.unit === "" ? column.label : `${column.label} (${column.unit})`,
    ),
  );
  return [header, ...table.rows.map((row) => row.map(field))]
    .map((cells) => `${cells.join(",")}\r\n`)
    .join("");
}
