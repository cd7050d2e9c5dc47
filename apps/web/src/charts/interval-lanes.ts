import type { CourseInterval } from "./course";

/** A mark as it stands above the plotting area: a token with a number, and a bar as long as the interval. */
export interface IntervalPlace {
  /** More than one where they stand too close to be told apart; the mark then leads through them. */
  readonly members: readonly [CourseInterval, ...CourseInterval[]];
  readonly lane: number;
  /** Left edge of the token. */
  readonly tokenX: number;
  readonly tokenWidth: number;
  /** The bar of the interval; of no length for a moment. */
  readonly fromX: number;
  readonly toX: number;
  /** Whether the axis shows where it begins and where it ends. */
  readonly begins: boolean;
  readonly ends: boolean;
}

export const laneHeight = 26;
/** As small as something to be pointed at may be (WCAG 2.2, 2.5.8). */
const tokenSize = 24;
const digitWidth = 8;
const longLanes = 2;
const shortLanes = 2;

interface Axis {
  readonly x: (seconds: number) => number;
  readonly left: number;
  readonly right: number;
}

const tokenWidthOf = (members: readonly CourseInterval[]) =>
  tokenSize + digitWidth * (String(members[0]?.number ?? 0).length - 1 + (members.length > 1 ? 1 : 0));

/**
 * Puts marks into lanes so that none covers another: what is as long as most of the axis first, on lanes of its own, then the
 * short ones. Marks for which no lane has room join the one before them.
 */
export function intervalLanes(
  intervals: readonly CourseInterval[],
  axis: Axis,
): { readonly places: readonly IntervalPlace[]; readonly lanes: number } {
  const { x, left, right } = axis;
  const clamp = (place: number) => Math.min(right, Math.max(left, place));
  const seen = intervals
    .filter(({ fromS, toS }) => x(toS) >= left && x(fromS) <= right)
    .sort((a, b) => a.fromS - b.fromS || a.number - b.number);
  const isLong = ({ fromS, toS }: CourseInterval) => clamp(x(toS)) - clamp(x(fromS)) > 0.5 * (right - left);
  const put = (group: readonly CourseInterval[], most: number, firstLane: number): IntervalPlace[] => {
    const places: IntervalPlace[] = [];
    const taken: number[] = [];
    for (const interval of group) {
      const fromX = clamp(x(interval.fromS));
      const toX = clamp(x(interval.toS));
      const begins = x(interval.fromS) >= left;
      const ends = x(interval.toS) <= right;
      const tokenWidth = tokenWidthOf([interval]);
      const middle = (fromX + toX) / 2;
      const start = toX - fromX >= tokenWidth ? fromX : middle - tokenWidth / 2;
      const tokenX = Math.max(left, Math.min(right - tokenWidth, start));
      let lane = taken.findIndex((end) => end + 2 <= tokenX);
      if (lane < 0 && taken.length < most) lane = taken.length;
      if (lane >= 0) {
        taken[lane] = Math.max(toX, tokenX + tokenWidth);
        places.push({
          members: [interval],
          lane: firstLane + lane,
          tokenX,
          tokenWidth,
          fromX,
          toX,
          begins,
          ends,
        });
        continue;
      }
      const crowded = taken.indexOf(Math.min(...taken));
      const before = places.findLastIndex((place) => place.lane === firstLane + crowded);
      const place = places[before];
      if (place === undefined) continue;
      const [first, ...others] = place.members;
      const members: IntervalPlace["members"] = [first, ...others, interval];
      const joined = { ...place, members, tokenWidth: tokenWidthOf(members), toX: Math.max(place.toX, toX) };
      places[before] = {
        ...joined,
        tokenX: Math.max(left, Math.min(right - joined.tokenWidth, place.tokenX)),
      };
      taken[crowded] = Math.max(taken[crowded] ?? 0, joined.toX, joined.tokenX + joined.tokenWidth);
    }
    return places;
  };
  const long = put(seen.filter(isLong), longLanes, 0);
  const used = Math.max(0, ...long.map((place) => place.lane + 1));
  const short = put(
    seen.filter((interval) => !isLong(interval)),
    shortLanes,
    used,
  );
  const places = [...long, ...short];
  return { places, lanes: Math.max(0, ...places.map((place) => place.lane + 1)) };
}
