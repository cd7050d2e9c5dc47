import { Session } from "node:inspector/promises";

/** Tells whether what just ran took a way through the sources of this package that nothing took before. */
export class CoverageFeedback {
  private readonly session = new Session();
  private readonly seen = new Set<string>();

  async start(): Promise<void> {
    this.session.connect();
    await this.session.post("Profiler.enable");
    await this.session.post("Profiler.startPreciseCoverage", { callCount: true, detailed: true });
  }

  /** How many ways were new since the last call: a block entered for the first time, or far more often than ever. */
  async takeNew(remember = true): Promise<number> {
    const { result } = await this.session.post("Profiler.takePreciseCoverage");
    let found = 0;
    for (const { url, functions } of result) {
      const at = url.indexOf("packages/ingest/src/");
      if (at < 0) continue;
      for (const { ranges } of functions) {
        for (const { startOffset, endOffset, count } of ranges) {
          if (count === 0) continue;
          const key = `${url.slice(at)}:${startOffset}:${endOffset}:${Math.floor(Math.log2(count) / 3)}`;
          if (this.seen.has(key)) continue;
          found++;
          if (remember) this.seen.add(key);
        }
      }
    }
    return found;
  }

  get size(): number {
    return this.seen.size;
  }

  stop(): void {
    this.session.disconnect();
  }
}
