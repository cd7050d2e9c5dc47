import { massIndex, surfaceArea } from "@acral/analysis/body";
import type { BodyColumn } from "./disclosure-report";
import type { VolunteerToRelease } from "./release-input";

/**
 * The body columns of a release and the levels at which each may be released, finest first. Nothing is finer than a
 * band: an exact height, mass or age can be joined to other lists. Bands lie on a fixed grid, the same in every
 * study, because bands cut at the study's own extremes would give those extremes away.
 */
export interface BodyLevel {
  readonly words: string;
  /** 0 (as recorded) to 1 (blank): for bands, their width as a share of the width at which a column is of no use. */
  readonly loss: number;
  /** Width of the band in the column's unit; "exact" only for categories; "blank" releases nothing. */
  readonly width: number | "exact" | "blank";
}

const notReleased: BodyLevel = { words: "not released", loss: 1, width: "blank" };

export const bodyLevels: Readonly<Record<BodyColumn, readonly BodyLevel[]>> = {
  sex: [{ words: "as recorded", loss: 0, width: "exact" }, notReleased],
  age: [
    { words: "5 year bands, 90 and over together", loss: 0.125, width: 5 },
    { words: "10 year bands, 90 and over together", loss: 0.25, width: 10 },
    { words: "20 year bands, 80 and over together", loss: 0.5, width: 20 },
    notReleased,
  ],
  height: [
    { words: "5 cm bands", loss: 0.125, width: 5 },
    { words: "10 cm bands", loss: 0.25, width: 10 },
    { words: "20 cm bands", loss: 0.5, width: 20 },
    notReleased,
  ],
  mass: [
    { words: "5 kg bands", loss: 0.125, width: 5 },
    { words: "10 kg bands", loss: 0.25, width: 10 },
    { words: "20 kg bands", loss: 0.5, width: 20 },
    notReleased,
  ],
};

export const bodyColumns: readonly BodyColumn[] = ["sex", "age", "height", "mass"];

/** One level per body column. */
export type BodyChoice = Readonly<Record<BodyColumn, number>>;

export function levelOf(column: BodyColumn, index: number): BodyLevel {
  const level = bodyLevels[column][index];
  if (level === undefined) throw new RangeError(`${column} has no level ${index}`);
  return level;
}

/** low <= value < high; a null high is open. */
export interface Band {
  readonly low: number;
  readonly high: number | null;
}

/** What is released of one volunteer's body. Null: not recorded or not released, which look the same from outside. */
export interface CoarseBody {
  readonly sex: string | null;
  readonly age: Band | null;
  readonly height: Band | null;
  readonly mass: Band | null;
  /** Du Bois surface area in m2 and mass index in kg/m2 at the corners of the two bands: no more than those say. */
  readonly surfaceArea: Band | null;
  readonly massIndex: Band | null;
}

/** The lower end of the open band of ages: regulations group 90 and over (45 CFR 164.514(b)(2)(i)(C)). */
const oldest = 90;

export function coarsen(volunteer: VolunteerToRelease, choice: BodyChoice): CoarseBody {
  const sexLevel = levelOf("sex", choice.sex);
  const age = bandOf(volunteer.ageYears, levelOf("age", choice.age));
  const height = bandOf(volunteer.heightCm, levelOf("height", choice.height));
  const mass = bandOf(volunteer.massKg, levelOf("mass", choice.mass));
  return {
    sex: sexLevel.width === "blank" ? null : volunteer.sex,
    age: age === null ? null : openAtTheTop(age, levelOf("age", choice.age)),
    height,
    mass,
    surfaceArea: corners(height, mass, surfaceArea, "rises with height"),
    massIndex: corners(height, mass, massIndex, "falls with height"),
  };
}

/** The same text for the same released body columns: rows with the same text form a group. */
export function cellsOf(body: CoarseBody): Record<BodyColumn, string> {
  return {
    sex: body.sex ?? "",
    age: bandText(body.age),
    height: bandText(body.height),
    mass: bandText(body.mass),
  };
}

export function groupOf(body: CoarseBody): string {
  return JSON.stringify(cellsOf(body));
}

function bandOf(value: number | null, level: BodyLevel): Band | null {
  if (value === null || typeof level.width !== "number") return null;
  const low = Math.floor(value / level.width) * level.width;
  return { low, high: low + level.width };
}

function openAtTheTop(band: Band, level: BodyLevel): Band {
  if (typeof level.width !== "number") return band;
  const from = Math.floor(oldest / level.width) * level.width;
  return band.low >= from ? { low: from, high: null } : band;
}

function bandText(band: Band | null): string {
  if (band === null) return "";
  return band.high === null ? `${band.low} and over` : `${band.low} to below ${band.high}`;
}

/**
 * The least and greatest value of a quantity that rises with mass and rises (or falls) with height, over both bands,
 * rounded outwards to 0.01.
 */
function corners(
  height: Band | null,
  mass: Band | null,
  quantity: (heightM: number, massKg: number) => number,
  direction: "rises with height" | "falls with height",
): Band | null {
  if (height === null || mass === null || height.high === null || mass.high === null) return null;
  const [nearHeight, farHeight] =
    direction === "rises with height" ? [height.low, height.high] : [height.high, height.low];
  // A band that reaches to where no body is has no quantity at that end.
  if (height.low < 40 || height.high >= 300 || mass.low < 2 || mass.high >= 700) return null;
  const low = Math.floor(quantity(nearHeight / 100, mass.low) * 100) / 100;
  const high = Math.ceil(quantity(farHeight / 100, mass.high) * 100) / 100;
  return { low, high };
}
