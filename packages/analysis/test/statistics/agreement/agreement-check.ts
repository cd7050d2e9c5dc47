import type { Bound, LiveR } from "../live-r";

/** One function held against R over many inputs; the tests and the table in the README both run it. */
export interface AgreementCheck {
  /** Name of our function, with the quantity where one function gives several. */
  readonly name: string;
  /** The R function that it is held against. */
  readonly against: string;
  /** Largest relative difference that is accepted. */
  readonly bound: number;
  readonly cases: readonly AgreementCase[];
  /** Differences are taken relative to the value, but not to less than this. */
  readonly floor?: number;
}

export interface AgreementCase {
  readonly variables?: Record<string, Bound>;
  readonly r: string;
  readonly ours: () => readonly number[];
}

export interface Agreement {
  readonly name: string;
  readonly against: string;
  readonly values: number;
  readonly worst: number;
  readonly bound: number;
  /** The case with the worst disagreement, for a failure message. */
  readonly worstCase: string;
}

export async function measureAgreement(check: AgreementCheck, r: LiveR): Promise<Agreement> {
  let worst = 0;
  let worstCase = "";
  let values = 0;
  for (const { variables, r: code, ours } of check.cases) {
    const theirs = await r.numbers(code, variables);
    const mine = ours();
    const note = (distance: number, i: number) => {
      worst = distance;
      worstCase = `${code} [${i}]: ours ${mine[i]}, R ${theirs[i]}; ${JSON.stringify(variables ?? {}).slice(0, 600)}`;
    };
    if (mine.length !== theirs.length) {
      note(Number.POSITIVE_INFINITY, Math.min(mine.length, theirs.length));
      continue;
    }
    values += mine.length;
    for (let i = 0; i < mine.length; i++) {
      const distance = relativeDifference(mine[i] as number, theirs[i] as number, check.floor);
      if (distance > worst) note(distance, i);
    }
  }
  return { name: check.name, against: check.against, values, worst, bound: check.bound, worstCase };
}

/** |a - b| relative to b, infinite when only one of them is a number. */
export function relativeDifference(ours: number, theirs: number, floor = 1e-290): number {
  if (Object.is(ours, theirs) || ours === theirs) return 0;
  if (!Number.isFinite(ours) || !Number.isFinite(theirs)) {
    return Number.isNaN(ours) && Number.isNaN(theirs) ? 0 : Number.POSITIVE_INFINITY;
  }
  return Math.abs(ours - theirs) / Math.max(Math.abs(theirs), floor);
}
