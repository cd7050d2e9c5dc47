import { type ColumnMap, type ReadResult, readSourceFile, readSourceStream } from "../src/index";

/** Ways to bring the same bytes to the reader; every reading test runs on all of them. */
export const drivers: readonly {
  name: string;
  read: (bytes: Uint8Array, columnMap: ColumnMap) => Promise<ReadResult>;
}[] = [
  { name: "in memory", read: async (bytes, columnMap) => readSourceFile(bytes, columnMap) },
  {
    name: "as a stream in one piece",
    read: (bytes, columnMap) => readSourceStream(pieces(bytes, [bytes.length]), columnMap),
  },
  {
    name: "as a stream of single bytes",
    read: (bytes, columnMap) => readSourceStream(pieces(bytes, [1]), columnMap),
  },
  {
    name: "as a stream of uneven pieces",
    read: (bytes, columnMap) => readSourceStream(pieces(bytes, [7, 1, 64, 3]), columnMap),
  },
];

/** Copies, so that a reader that keeps hold of a chunk it was lent would be found out. */
export async function* pieces(bytes: Uint8Array, sizes: readonly number[]): AsyncGenerator<Uint8Array> {
  const lent = new Uint8Array(Math.max(1, ...sizes));
  let at = 0;
  for (let i = 0; at < bytes.length; i++) {
    const size = Math.max(1, sizes[i % sizes.length] ?? 1);
    const piece = bytes.subarray(at, at + size);
    lent.set(piece);
    yield lent.subarray(0, piece.length);
    lent.fill(0);
    at += size;
  }
}
