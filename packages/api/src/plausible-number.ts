import { type LimitedQuantity, type PlausibilityLimit, plausibilityLimits } from "@acral/analysis/body";
import { z } from "zod";

/**
 * A number within the plausibility limits of a quantity. The message names the limits. `perUnit` is how many of the
 * entered unit make one of the limit's unit (100 for centimetres entered against a limit in metres).
 */
export function plausibleNumber(
  quantity: LimitedQuantity,
  what: string,
  entered: { readonly unit: string; readonly perUnit: number } = {
    unit: plausibilityLimits[quantity].unit,
    perUnit: 1,
  },
) {
  const limit: PlausibilityLimit = plausibilityLimits[quantity];
  // Rounded, because 2.3 m × 100 is not quite 230 in binary.
  const scaled = (value: number) => Number((value * entered.perUnit).toPrecision(12));
  const min = scaled(limit.min);
  const max = scaled(limit.max);
  const unit = entered.unit === "" ? "" : ` ${entered.unit}`;
  const message = `${what} lies between ${min} and ${max}${unit}. Check the unit and the digits.`;
  return z
    .number({ error: `${what} is a number${unit === "" ? "" : ` in${unit}`}.` })
    .min(min, message)
    .max(max, message);
}
