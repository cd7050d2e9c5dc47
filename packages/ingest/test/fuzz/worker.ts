import { parentPort, workerData } from "node:worker_threads";
import { CoverageFeedback } from "./coverage-feedback";
import { fuzz } from "./fuzz";
import type { WorkerReport, WorkerTask } from "./watched-run";

/** Fuzzes in a thread of its own, which can be ended when an input never ends. */
const { seed, untilMs, shared } = workerData as WorkerTask;
const lengths = new Int32Array(shared, 0, 3);
const room = new Uint8Array(shared, 12);
const tell = (report: WorkerReport) => parentPort?.postMessage(report);

const coverage = new CoverageFeedback();
await coverage.start();
let said = 0;
const progress = await fuzz({
  seed,
  coverage,
  goOn: ({ inputs, queue }) => {
    if (Date.now() - said > 30_000) {
      said = Date.now();
      tell({ kind: "progress", inputs, queue, ways: coverage.size });
    }
    return Date.now() < untilMs;
  },
  onInput: ({ bytes, changes }) => {
    const map = new TextEncoder().encode(JSON.stringify(changes));
    room.set(bytes);
    room.set(map, bytes.length);
    Atomics.store(lengths, 1, map.length);
    Atomics.store(lengths, 0, bytes.length);
    Atomics.add(lengths, 2, 1);
  },
  onFinding: (input, finding) =>
    tell({
      kind: "finding",
      ...input,
      what: finding.kind,
      about: finding.message,
      stack: String((finding.cause as Error | undefined)?.stack ?? ""),
    }),
});
coverage.stop();
tell({ kind: "done", inputs: progress.inputs, queue: progress.queue, ways: coverage.size });
