import { AnalysisError } from "../analysis-error";

/** A number with its standard uncertainty (one standard deviation), both in the same unit. */
export interface Uncertain {
  readonly value: number;
  readonly sd: number;
}

export interface Propagated<Key extends string> {
  readonly value: number;
  /** Combined standard uncertainty. */
  readonly sd: number;
  /** Standard uncertainty due to each input alone; their squares add up to sd². */
  readonly contributions: Readonly<Record<Key, number>>;
}

/**
 * First-order propagation of uncertainty for independent inputs: sd² = Σ (∂f/∂x·sd)², the derivatives taken over ± one
 * standard uncertainty, so that the contribution of an input is half of what f changes across it. Source: JCGM 100:2008
 * (GUM), 5.1.2 and 5.1.3 note 2.
 *
 * Inputs that several terms share (one camera, one room) must be one input here, not one per term.
 *
 * @throws AnalysisError `not finite` where an input or f is not; `out of range` for a negative uncertainty
 */
export function propagate<Key extends string>(
  compute: (inputs: Readonly<Record<Key, number>>) => number,
  inputs: Readonly<Record<Key, Uncertain>>,
): Propagated<Key> {
  const name = "propagate";
  const keys = Object.keys(inputs) as Key[];
  const centre = {} as Record<Key, number>;
  for (const key of keys) {
    const { value, sd } = inputs[key];
    if (!Number.isFinite(value))
      throw new AnalysisError("not finite", name, key, `a finite value, not ${value}`);
    if (!(sd >= 0) || !Number.isFinite(sd)) {
      throw new AnalysisError("out of range", name, key, `a standard uncertainty of zero or more, not ${sd}`);
    }
    centre[key] = value;
  }
  const value = compute(centre);
  if (!Number.isFinite(value))
    throw new AnalysisError("not finite", name, "compute", `a finite result, not ${value}`);
  const contributions = {} as Record<Key, number>;
  let variance = 0;
  for (const key of keys) {
    const { sd } = inputs[key];
    const at = (x: number) => compute({ ...centre, [key]: x });
    const half = sd === 0 ? 0 : (at(centre[key] + sd) - at(centre[key] - sd)) / 2;
    if (!Number.isFinite(half))
      throw new AnalysisError("not finite", name, key, "a finite result one standard uncertainty away");
    contributions[key] = Math.abs(half);
    variance += half * half;
  }
  return { value, sd: Math.sqrt(variance), contributions };
}
