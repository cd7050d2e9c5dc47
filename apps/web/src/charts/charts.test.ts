import { describe, expect, it } from "vitest";
import { chartColours } from "./chart-colours";
import {
  type CourseInterval,
  type CourseSeries,
  checkSeries,
  courseTable,
  mostPoints,
  nearest,
  withinSpan,
} from "./course";
import { placeByDay } from "./days";
import { figureTableAsCsv } from "./figure-table";
import { intervalLanes } from "./interval-lanes";
import { resolveColours } from "./save-figure";
import { seriesSign } from "./series-sign";
import { spreadLabels } from "./spread-labels";
import { formatTime, timeTicks, timeUnitFor, valueTicks } from "./ticks";

const series = (timesS: number[], values: (number | null)[], label = "a"): CourseSeries => ({
  id: label,
  label,
  sign: seriesSign(0),
  timesS,
  values,
});

describe("ticks of a value axis", () => {
  it("cover the data in steps of 1, 2 or 5 times a power of ten", () => {
    expect(valueTicks(29.13, 33.4).values).toEqual([29, 30, 31, 32, 33, 34]);
    expect(valueTicks(-0.034, 0.04).values).toEqual([-0.04, -0.02, 0, 0.02, 0.04]);
    expect(valueTicks(0, 1000).values).toEqual([0, 200, 400, 600, 800, 1000]);
  });

  it("carry no rounding dust", () => {
    expect(valueTicks(0.1, 0.7).values).toEqual([0, 0.2, 0.4, 0.6, 0.8]);
  });

  it("open up around a constant", () => {
    const { values } = valueTicks(33, 33);
    expect(Math.min(...values)).toBeLessThan(33);
    expect(Math.max(...values)).toBeGreaterThan(33);
  });
});

describe("ticks of a time axis", () => {
  it("stand at whole minutes or seconds inside the data", () => {
    expect(timeTicks(-600, 2700).values).toEqual([-600, 0, 600, 1200, 1800, 2400]);
    expect(timeTicks(3, 58).values).toEqual([10, 20, 30, 40, 50]);
  });

  it("are read in minutes once the axis is longer than three of them", () => {
    expect(timeUnitFor(0, 180)).toBe("s");
    expect(timeUnitFor(-600, 0)).toBe("min");
    expect(formatTime(-630, "min")).toBe("−10.5");
    expect(formatTime(0, "min", 1)).toBe("0.0");
  });
});

describe("a series", () => {
  it("is refused when it was not reduced before drawing", () => {
    const long = Array.from({ length: mostPoints + 1 }, (_, index) => index);
    expect(() => checkSeries(series(long, long))).toThrow(/reduce/);
    expect(() => checkSeries(series([1, 2], [1]))).toThrow(/2 times but 1 values/);
  });

  it("is read at its nearest point, and not across a gap", () => {
    const one = series([0, 5, 10, 15], [30, null, 31, 32]);
    expect(nearest(one, 9, 4)).toBe(31);
    expect(nearest(one, 5, 1)).toBeNull();
    expect(nearest(one, 40, 4)).toBeNull();
    expect(nearest(series([], []), 0, 10)).toBeNull();
  });

  it("shares its table with series of other times, leaving empty what it has no point for", () => {
    const table = courseTable([series([0, 5], [30, 31]), series([5, 10], [20, null], "b")], "°C", 2);
    expect(table.rows).toEqual([
      [0, 30, null],
      [5, 31, 20],
      [10, null, null],
    ]);
    expect(figureTableAsCsv(table)).toBe("Time (s),a (°C),b (°C)\r\n0,30,\r\n5,31,20\r\n10,,\r\n");
  });
});

describe("a part of a series", () => {
  const one = series([0, 10, 20, 30, 40], [1, 2, 3, 4, 5]);

  it("has one point more on either side, so that its line runs to the edge", () => {
    expect(withinSpan(one, { fromS: 15, toS: 25 }).timesS).toEqual([10, 20, 30]);
    expect(withinSpan(one, { fromS: 15, toS: 25 }).values).toEqual([2, 3, 4]);
  });

  it("is the whole series without a span, and its two neighbours where no point lies inside", () => {
    expect(withinSpan(one, null)).toBe(one);
    expect(withinSpan(one, { fromS: 12, toS: 18 }).timesS).toEqual([10, 20]);
    expect(withinSpan(one, { fromS: 50, toS: 60 }).timesS).toEqual([40]);
  });
});

describe("marks of stretches of time", () => {
  const mark = (number: number, fromS: number, toS: number): CourseInterval => ({
    id: `${number}`,
    number,
    label: `${number}`,
    fromS,
    toS,
    settled: false,
  });
  const axis = { x: (seconds: number) => seconds, left: 0, right: 600 };

  it("stand on lanes on which none covers another", () => {
    const { places, lanes } = intervalLanes([mark(1, 0, 600), mark(2, 100, 100), mark(3, 110, 110)], axis);
    expect(places.map(({ lane }) => lane)).toEqual([0, 1, 2]);
    expect(lanes).toBe(3);
  });

  it("join where there is no room, and none is lost", () => {
    const many = Array.from({ length: 40 }, (_, index) => mark(index + 1, 100 + index, 100 + index));
    const { places } = intervalLanes(many, axis);
    const members = places.flatMap((place) => place.members.map(({ number }) => number));
    expect(members.sort((a, b) => a - b)).toEqual(many.map(({ number }) => number));
    for (const lane of [0, 1]) {
      const here = places.filter((place) => place.lane === lane);
      here.slice(1).forEach((place, index) => {
        const before = here[index];
        expect(place.tokenX).toBeGreaterThanOrEqual((before?.tokenX ?? 0) + (before?.tokenWidth ?? 0));
      });
    }
  });

  it("stay inside of the axis, and are left out where it does not show them", () => {
    const { places } = intervalLanes([mark(1, -50, -10), mark(2, 0, 0), mark(3, 600, 600)], axis);
    expect(places.map(({ members }) => members[0].number)).toEqual([2, 3]);
    expect(Math.min(...places.map(({ tokenX }) => tokenX))).toBe(0);
    expect(Math.max(...places.map(({ tokenX, tokenWidth }) => tokenX + tokenWidth))).toBe(600);
  });
});

describe("points by the day of recording", () => {
  const point = (day: string, value: number, label = `${value}`) => ({
    id: `${day} ${label}`,
    day,
    label,
    group: "a",
    value,
  });

  it("stand one day apart however long nothing was recorded, in order of time", () => {
    const { days } = placeByDay([point("2026-05-02", 1), point("2026-01-09", 2), point("2026-01-10", 3)]);
    expect(days.map(({ day, x }) => [day, x])).toEqual([
      ["2026-01-09", 0],
      ["2026-01-10", 1],
      ["2026-05-02", 2],
    ]);
  });

  it("stand side by side within their day, with the day's median", () => {
    const { points, days } = placeByDay([1, 4, 2, 9].map((value) => point("2026-01-09", value)));
    expect(new Set(points.map(({ x }) => x)).size).toBe(4);
    for (const { x } of points) expect(Math.abs(x)).toBeLessThan(0.5);
    expect(days[0]?.median).toBe(3);
  });
});

describe("the signs of series", () => {
  it("differ in the pair of colour and line style for 36 series", () => {
    const signs = Array.from({ length: 36 }, (_, index) => seriesSign(index));
    expect(new Set(signs.map(({ colour, dash }) => `${colour} ${dash}`)).size).toBe(36);
  });
});

describe("labels at the ends of lines", () => {
  it("keep their order and their distance, inside the figure", () => {
    const placed = spreadLabels(
      [10, 12, 11, 98].map((at) => ({ item: at, at })),
      16,
      0,
      100,
    );
    expect(placed.map(({ item }) => item)).toEqual([10, 11, 12, 98]);
    placed.slice(1).forEach(({ y }, index) => {
      expect(y - (placed[index]?.y ?? 0)).toBeGreaterThanOrEqual(16);
    });
    expect(placed.at(-1)?.y).toBeLessThanOrEqual(100);
  });

  it("are pushed up again at the bottom edge", () => {
    const placed = spreadLabels(
      [
        { item: "a", at: 99 },
        { item: "b", at: 100 },
      ],
      16,
      0,
      100,
    );
    expect(placed.map(({ y }) => y)).toEqual([84, 100]);
  });
});

describe("a saved figure", () => {
  it("has the light colours in it instead of references to the page", () => {
    expect(resolveColours('<path stroke="var(--chart-series-1)"/>')).toBe('<path stroke="#0072b2"/>');
    for (const name of Object.keys(chartColours.dark)) expect(resolveColours(`var(${name})`)).toMatch(/^#/);
  });
});
