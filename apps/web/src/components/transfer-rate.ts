/** How far a transfer is: bytes that have left, and how fast they leave. */
export interface TransferProgress {
  readonly loaded: number;
  readonly total: number;
  /** Over the last seconds; null until there is something to judge by. */
  readonly bytesPerS: number | null;
  /** At that rate; null without one. */
  readonly secondsLeft: number | null;
}

export interface TransferSample {
  readonly atMs: number;
  readonly loaded: number;
}

/** Stretch that the rate is taken over, and how much of it there must be at least. */
const windowMs = 5000;
const leastMs = 500;

/** The samples that still count at a moment, with the newest one. */
export function withSample(samples: readonly TransferSample[], sample: TransferSample): TransferSample[] {
  return [...samples.filter(({ atMs }) => atMs >= sample.atMs - windowMs), sample];
}

export function progressOf(samples: readonly TransferSample[], total: number): TransferProgress {
  const first = samples[0];
  const last = samples.at(-1);
  const loaded = last?.loaded ?? 0;
  const sinceMs = first === undefined || last === undefined ? 0 : last.atMs - first.atMs;
  if (first === undefined || last === undefined || sinceMs < leastMs || last.loaded <= first.loaded) {
    return { loaded, total, bytesPerS: null, secondsLeft: null };
  }
  const bytesPerS = ((last.loaded - first.loaded) / sinceMs) * 1000;
  return { loaded, total, bytesPerS, secondsLeft: (total - loaded) / bytesPerS };
}

/** "4 s", "2 min 10 s", "1 h 5 min": as exact as somebody who waits needs it. */
export function formatDuration(seconds: number): string {
  const whole = Math.max(1, Math.round(seconds));
  if (whole < 60) return `${whole} s`;
  if (whole < 3600) {
    const rest = Math.floor((whole % 60) / 10) * 10;
    return `${Math.floor(whole / 60)} min${rest === 0 ? "" : ` ${rest} s`}`;
  }
  const minutes = Math.round((whole % 3600) / 60);
  return `${Math.floor(whole / 3600)} h${minutes === 0 ? "" : ` ${minutes} min`}`;
}
