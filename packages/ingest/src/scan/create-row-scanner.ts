import { RowScanner, type RowSink, type ScanOptions } from "./row-scanner";
import { scanDelimited } from "./scan-delimited";
import { scanSpaced } from "./scan-spaced";

export function createRowScanner(options: ScanOptions, sink: RowSink): RowScanner {
  const spaced = options.delimiter === "spaces" || options.delimiter === "wide spaces";
  return new RowScanner(options, sink, spaced ? scanSpaced : scanDelimited);
}
