import { type DuckDBConnection, DuckDBInstance } from "@duckdb/node-api";

/** DuckDB on one thread, as a reader of one CSV file into one array per column. */
export class DuckDbColumns {
  private constructor(
    private readonly instance: DuckDBInstance,
    private readonly connection: DuckDBConnection,
    private readonly source: string,
  ) {}

  /** Tells DuckDB what else it would have to find out: the delimiter, the header and that every column is a double. */
  static async open(path: string, names: readonly string[]): Promise<DuckDbColumns> {
    const instance = await DuckDBInstance.create(":memory:", { threads: "1" });
    const connection = await instance.connect();
    const text = (value: string) => `'${value.replaceAll("'", "''")}'`;
    const columns = names.map((name) => `${text(name)}: 'DOUBLE'`).join(", ");
    const source = `read_csv(${text(path)}, auto_detect = false, header = true, delim = ',', columns = {${columns}})`;
    return new DuckDbColumns(instance, connection, source);
  }

  async read(): Promise<Float64Array[]> {
    const result = await this.connection.stream(`SELECT * FROM ${this.source}`);
    const pieces = Array.from({ length: result.columnCount }, (): Float64Array[] => []);
    let rows = 0;
    for (;;) {
      const chunk = await result.fetchChunk();
      if (chunk === null || chunk.rowCount === 0) break;
      rows += chunk.rowCount;
      for (const [index, column] of pieces.entries()) {
        const items = (chunk.getColumnVector(index) as { items?: unknown }).items;
        if (!(items instanceof Float64Array)) throw new Error(`Column ${index + 1} holds no doubles.`);
        column.push(items.slice(0, chunk.rowCount));
      }
    }
    return pieces.map((column) => joined(column, rows));
  }

  close(): void {
    this.connection.closeSync();
    this.instance.closeSync();
  }
}

function joined(pieces: readonly Float64Array[], length: number): Float64Array {
  const all = new Float64Array(length);
  let at = 0;
  for (const piece of pieces) {
    all.set(piece, at);
    at += piece.length;
  }
  return all;
}
