export type ClockChange = "none" | "corrected" | "possible";

const hour = 3600;
/** As many equal steps as make a rhythm. */
const rhythm = 3;
/** Recordings slower than this have no rhythm against which an hour could be told. */
const slowest = 600;

/**
 * Recognises that a local clock was put forward or back by an hour in the middle of a recording, by the rhythm of the
 * samples: between two of them the clock moves by an hour more, or less, than between all others.
 *
 * Back: no other reading is possible, since time does not run backwards. Forward: it could also be a pause of an hour. It is
 * a change of the clock when the hour that is left out is one whole hour of the clock (02:59:59 to 04:00:00 with samples every
 * second), as daylight saving time leaves it out; otherwise it is only said to be possible, and the times stay as they are.
 */
export class ClockChanges {
  last: ClockChange = "none";
  private shift = 0;
  private previous = Number.NaN;
  private step = Number.NaN;
  private steady = 0;

  /** The time that passed, from the time that the clock shows; `ofDay` is the second of the clock's day. Both in s. */
  passed(shown: number, ofDay: number): number {
    this.last = "none";
    const step = shown - this.previous;
    this.previous = shown;
    const change = this.steady >= rhythm ? this.changeIn(step) : 0;
    if (change === 0) this.learn(step);
    else if (change > 0 && !leavesOutOneHour(ofDay, this.step)) this.last = "possible";
    else {
      this.shift -= change;
      this.last = "corrected";
    }
    return shown + this.shift;
  }

  /** What follows is not the next sample: its distance says nothing. */
  beginAnew(): void {
    this.previous = Number.NaN;
    this.steady = 0;
    this.step = Number.NaN;
  }

  /** An hour by which the clock was put forward (3600) or back (-3600) in this step, or 0. */
  private changeIn(step: number): number {
    if (this.follows(step - hour)) return hour;
    return this.follows(step + hour) ? -hour : 0;
  }

  private follows(step: number): boolean {
    return step > 0.5 * this.step && step < 1.5 * this.step;
  }

  private learn(step: number): void {
    if (this.follows(step)) this.steady++;
    else {
      const first = step > 0 && step <= slowest;
      this.steady = first ? 1 : 0;
      this.step = first ? step : Number.NaN;
    }
  }
}

/** The clock shows the first sample of an hour, the one before it lay in the last step of the hour before the last. */
function leavesOutOneHour(ofDay: number, step: number): boolean {
  return ofDay % hour < 1.5 * step;
}
