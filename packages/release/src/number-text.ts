const smallestNormal = 2 ** -126;

/** From the three places at which a number below 1000 has six digits. */
const scales = [1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9] as const;

/**
 * A float32 as the shortest decimal that reads back as the same float32, without exponent where it is short. NaN is
 * a missing value and gives the empty string.
 *
 * Every decimal of at most six digits survives the way into a float32 and back (FLT_DIG of IEEE 754 binary32), so
 * that the correctly rounded six digits, without trailing zeros, are the shortest when they fit; nine always fit.
 */
export function float32Text(value: number): string {
  if (Number.isNaN(value)) return "";
  if (Math.abs(value) < 1000) {
    // The usual case, without parsing: the product is exact (24 bits times at most 21), so this is the correctly
    // rounded decimal with that many places, and fewer places came first.
    for (const scale of scales) {
      const rounded = Math.round(value * scale) / scale;
      if (Math.fround(rounded) === value) return String(rounded);
    }
  }
  // Below the normal range a float32 has fewer digits than six.
  const fewest = Math.abs(value) < smallestNormal ? 1 : 6;
  for (let digits = fewest; digits < 9; digits++) {
    const rounded = Number(value.toPrecision(digits));
    if (Math.fround(rounded) === value) return String(rounded);
  }
  return String(Number(value.toPrecision(9)));
}

/** A float64 as the shortest decimal that reads back as the same float64. NaN gives the empty string. */
export function float64Text(value: number): string {
  return Number.isNaN(value) ? "" : String(value);
}

/** Seconds to the microsecond: what is left of binary noise after subtracting two times is cut. */
export function roundedSeconds(seconds: number): number {
  return Math.round(seconds * 1e6) / 1e6;
}
