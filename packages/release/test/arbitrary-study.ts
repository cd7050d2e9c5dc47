import fc from "fast-check";
import type { VolunteerToRelease } from "../src/release-input";

/** Volunteers with skewed bodies: a crowd in the middle, a few at the edges, some values missing. */
export function volunteersBetween(least: number, most: number): fc.Arbitrary<VolunteerToRelease[]> {
  const around = (middle: number, near: number, far: number, least_: number): fc.Arbitrary<number> =>
    fc
      .tuple(fc.boolean(), fc.double({ min: -1, max: 1, noNaN: true }))
      .map(([isFar, x]) => Math.max(least_, Math.round((middle + x ** 3 * (isFar ? far : near)) * 10) / 10));
  const mostly = <T>(value: fc.Arbitrary<T>): fc.Arbitrary<T | null> => fc.option(value, { freq: 15 });
  return fc
    .array(
      fc.record({
        sex: mostly(fc.constantFrom("female" as const, "male" as const, "male" as const, "other" as const)),
        ageYears: mostly(around(27, 8, 70, 16).map(Math.floor)),
        heightCm: mostly(around(175, 12, 60, 120)),
        massKg: mostly(around(72, 15, 120, 35)),
      }),
      { minLength: least, maxLength: most },
    )
    .map((bodies) => bodies.map((body, index) => ({ key: `volunteer-${index}`, ...body })));
}
