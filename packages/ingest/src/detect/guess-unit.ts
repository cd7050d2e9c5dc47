import type { Doubt } from "../detection";
import type { TraceTarget } from "../read-result";
import { canonicalUnit, knownUnit, unitConversion, unitsFor } from "../units";
import { median } from "./number-columns";

export interface UnitGuess {
  unit: string;
  reason: string;
  doubts: Doubt[];
}

interface Place {
  /** Prefix of the field, such as "columns.3". */
  field: string;
  column: number;
}

const plausible: Readonly<Record<string, readonly [number, number]>> = {
  "°C": [5, 48],
  "°F": [50, 118],
  K: [278, 321],
};

/** The unit of a target's numbers: as stated, else the one that makes temperatures of a body or a room plausible. */
export function guessUnit(
  target: TraceTarget,
  stated: string | null,
  numbers: readonly number[],
  place: Place,
): UnitGuess {
  const temperature = canonicalUnit(target) === "°C";
  const spread = target.kind === "region" && target.statistic === "standard deviation";
  const middle = median(numbers);
  if (stated !== null) {
    if (unitConversion(target, stated) === null) {
      return {
        unit: stated,
        reason: `the unit "${stated}" is not one that can be converted`,
        doubts: [
          doubt(place, stated, unitsFor(target), `The unit "${stated}" is not one that can be converted.`),
        ],
      };
    }
    const unit = knownUnitFor(target, stated);
    if (temperature && !spread && !fits(unit, middle)) {
      return {
        unit,
        reason: `the name says ${unit}`,
        doubts: [
          doubt(
            place,
            unit,
            otherUnits(target, unit),
            `The name says ${unit}, but the numbers lie around ${round(middle)}.`,
          ),
        ],
      };
    }
    return { unit, reason: `the name says ${unit}`, doubts: [] };
  }
  if (!temperature) return channelUnit(target, middle, place);
  if (spread) return { unit: "°C", reason: "no unit stated, as in the other columns", doubts: [] };
  const fitting = Object.keys(plausible).filter((unit) => fits(unit, middle));
  const [only] = fitting;
  if (fitting.length === 1 && only === "°C") {
    return {
      unit: only,
      reason: `no unit stated, but around ${round(middle)} it can only be °C`,
      doubts: [],
    };
  }
  const unit = only ?? "°C";
  return {
    unit,
    reason: `no unit stated, ${unit} guessed from numbers around ${round(middle)}`,
    doubts: [
      doubt(
        place,
        unit,
        otherUnits(target, unit),
        `No unit is stated; ${unit} is guessed from numbers around ${round(middle)}.`,
      ),
    ],
  };
}

function channelUnit(target: TraceTarget, middle: number, place: Place): UnitGuess {
  const unit = canonicalUnit(target);
  const doubtful = unit === "L/min" || unit === "m/s" || (unit === "%" && middle <= 1);
  const guessed = unit === "L/min" && middle > 250 ? "mL/min" : unit;
  return {
    unit: guessed,
    reason: `no unit stated, so the usual one, ${guessed}`,
    doubts: doubtful
      ? [
          doubt(
            place,
            guessed,
            otherUnits(target, guessed),
            `No unit is stated; ${guessed} is the usual one.`,
          ),
        ]
      : [],
  };
}

function knownUnitFor(target: TraceTarget, stated: string): string {
  const known = knownUnit(stated);
  return known !== null && unitsFor(target).includes(known) ? known : stated;
}

function fits(unit: string, middle: number): boolean {
  const range = plausible[unit];
  return range === undefined || Number.isNaN(middle) || (middle >= range[0] && middle <= range[1]);
}

function otherUnits(target: TraceTarget, unit: string): string[] {
  return unitsFor(target).filter((other) => other !== unit);
}

function round(value: number): string {
  return Number.isNaN(value) ? "nothing" : String(Number(value.toPrecision(4)));
}

function doubt({ field, column }: Place, guessed: string, alternatives: string[], reason: string): Doubt {
  return { kind: "unit", field: `${field}.unit`, line: null, column, guessed, alternatives, reason };
}
