import { Worker } from "node:worker_threads";
import type { FuzzInput } from "./fuzz-input";
import { mostBytes } from "./mutate-bytes";

export interface WorkerTask {
  seed: number;
  untilMs: number;
  /** Length of the bytes, length of the map changes, count of inputs; then the bytes and changes of the input at hand. */
  shared: SharedArrayBuffer;
}

export type WorkerReport =
  | { kind: "progress" | "done"; inputs: number; queue: number; ways: number }
  | ({ kind: "finding"; what: string; about: string; stack: string } & FuzzInput);

const mostStillMs = 60_000;

/** Runs the fuzzer in a thread until the moment given; an input on which it stands still for a minute is a finding too. */
export function watchedRun(
  seed: number,
  untilMs: number,
  onReport: (report: WorkerReport) => void,
): Promise<void> {
  const shared = new SharedArrayBuffer(12 + mostBytes + (1 << 16));
  const lengths = new Int32Array(shared, 0, 3);
  // A thread does not inherit that TypeScript is understood.
  const script = JSON.stringify(new URL("./worker.ts", import.meta.url).href);
  const start = `import("tsx/esm/api").then(({ register }) => { register(); return import(${script}); });`;
  const worker = new Worker(start, {
    eval: true,
    workerData: { seed, untilMs, shared } satisfies WorkerTask,
  });
  return new Promise((resolve, reject) => {
    let count = -1;
    let since = Date.now();
    const watch = setInterval(() => {
      const now = Atomics.load(lengths, 2);
      if (now !== count) {
        count = now;
        since = Date.now();
      } else if (Date.now() - since > mostStillMs) {
        const length = Atomics.load(lengths, 0);
        const bytes = new Uint8Array(shared, 12, length).slice();
        const changes = new Uint8Array(shared, 12 + length, Atomics.load(lengths, 1)).slice();
        onReport({
          kind: "finding",
          what: "hang",
          about: `hang: nothing came of it in ${mostStillMs / 1000} s`,
          stack: "",
          bytes,
          changes: JSON.parse(new TextDecoder().decode(changes)) as FuzzInput["changes"],
        });
        void worker.terminate();
      }
    }, 1000);
    worker.on("message", onReport);
    worker.on("error", reject);
    worker.on("exit", () => {
      clearInterval(watch);
      resolve();
    });
  });
}
