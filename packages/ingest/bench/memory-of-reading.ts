import { existsSync, readFileSync } from "node:fs";
import { detectColumnMap, SourceReader } from "../src/index";
import { framesPerSecond, frameValues, headerLine, traceCount } from "./one-hour";

/**
 * Run as a process of its own: reads a stream of the megabytes given, made on the fly, and prints by how many bytes the
 * process grew at most beyond what the traces themselves need. The first reading in a fresh process, so that what the
 * engine takes to compile and to run counts too.
 */

/** Frames that are written once; only their times change. */
const templateFrames = 2000;
const timeLength = 10;

function template(): { text: string; places: number[] } {
  const places: number[] = [];
  let text = "";
  for (let frame = 0; frame < templateFrames; frame++) {
    places.push(text.length);
    text += `${"0".repeat(timeLength)}${frameValues(frame)}\n`;
  }
  return { text, places };
}

function timeText(frame: number): string {
  return (frame / framesPerSecond).toFixed(4).padStart(timeLength, "0");
}

/**
 * The most memory that this process has held, in bytes. Linux counts that of the process which started this one into the
 * figure of `getrusage`, so the program's own is read where the kernel shows it.
 */
function peakResident(): number {
  const status = "/proc/self/status";
  const own = existsSync(status) ? /^VmHWM:\s+(\d+) kB$/m.exec(readFileSync(status, "utf8"))?.[1] : undefined;
  return (own === undefined ? process.resourceUsage().maxRSS : Number(own)) * 1024;
}

function main(wantedBytes: number): { peakBytes: number; rows: number } {
  const { text, places } = template();
  const encoder = new TextEncoder();
  const body = encoder.encode(text);
  const header = encoder.encode(headerLine());
  const writeTimes = (first: number) => {
    for (const [i, place] of places.entries()) {
      encoder.encodeInto(timeText(first + i), body.subarray(place, place + timeLength));
    }
  };
  writeTimes(0);
  const beginning = new Uint8Array(header.length + body.length);
  beginning.set(header);
  beginning.set(body, header.length);
  const { columnMap } = detectColumnMap(beginning);

  const before = process.memoryUsage().rss;
  const reader = new SourceReader(columnMap);
  reader.push(header);
  let rows = 0;
  for (let bytes = header.length; bytes < wantedBytes; bytes += body.length) {
    writeTimes(rows);
    reader.push(body);
    rows += templateFrames;
  }
  const { report, traces } = reader.end();
  if (report.rowsUsed !== rows || traces.length !== traceCount) {
    throw new Error(
      `${traces.length} traces of ${report.rowsUsed} rows were read, not ${traceCount} of ${rows}.`,
    );
  }
  const traceBytes = rows * (traceCount + 1) * Float64Array.BYTES_PER_ELEMENT;
  return { peakBytes: peakResident() - before - traceBytes, rows };
}

console.log(JSON.stringify(main(Number(process.argv[2]) * 1e6)));
