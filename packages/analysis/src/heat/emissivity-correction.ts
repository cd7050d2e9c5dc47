import { AnalysisError } from "../analysis-error";
import { fourthPower, fourthRoot } from "../elementary";
import { kelvinOffset } from "./radiation";
import { requireCelsius, requireWithin } from "./require-number";

/** What lies between skin and camera. Temperatures in °C. */
export interface ViewingConditions {
  readonly emissivity: number;
  readonly reflectedC: number;
  /** Transmission of the air between, default 1 (below 2 m); with less, atmosphereC is needed. */
  readonly transmission?: number;
  readonly atmosphereC?: number;
}

interface Radiances {
  readonly emissivity: number;
  readonly transmission: number;
  readonly reflected: number;
  readonly atmosphere: number;
}

const fourth = (celsius: number) => fourthPower(celsius + kelvinOffset);
const celsiusOf = (radiance: number) => fourthRoot(radiance) - kelvinOffset;

function radiances(
  name: string,
  { emissivity, reflectedC, transmission = 1, atmosphereC }: ViewingConditions,
): Radiances {
  requireWithin(name, "emissivity", emissivity, 0.1, 1, "an emissivity");
  requireCelsius(name, "reflectedC", reflectedC);
  requireWithin(name, "transmission", transmission, 0.1, 1, "a transmission");
  if (transmission < 1 && atmosphereC === undefined) {
    throw new AnalysisError(
      "missing",
      name,
      "atmosphereC",
      "the air's temperature where its transmission is below 1",
    );
  }
  if (atmosphereC !== undefined) requireCelsius(name, "atmosphereC", atmosphereC);
  return {
    emissivity,
    transmission,
    reflected: fourth(reflectedC),
    atmosphere: fourth(atmosphereC ?? reflectedC),
  };
}

function correct(
  name: string,
  apparentC: number,
  { emissivity, transmission, reflected, atmosphere }: Radiances,
): number {
  requireCelsius(name, "apparentC", apparentC);
  const received = (fourth(apparentC) - (1 - transmission) * atmosphere) / transmission;
  const emitted = (received - (1 - emissivity) * reflected) / emissivity;
  requireWithin(
    name,
    "apparentC",
    emitted,
    0,
    Number.POSITIVE_INFINITY,
    "more radiance than is reflected; T⁴",
  );
  return celsiusOf(emitted);
}

/**
 * Temperature in °C of a grey surface from its apparent temperature (that of a black one):
 * {[T_app⁴ − (1 − ε)·T_refl⁴]/ε}^¼, standard radiometry. Against the integral over 8 to 14 µm the fourth power is off by
 * 0.003 °C at most for skin indoors.
 *
 * The apparent temperature is what the camera shows with its emissivity set to 1. Where it was set to something else, undo
 * that with apparentTemperature first, and never correct twice.
 */
export function correctApparentTemperature(apparentC: number, conditions: ViewingConditions): number {
  const name = "correctApparentTemperature";
  return correct(name, apparentC, radiances(name, conditions));
}

/** What a camera with its emissivity set to 1 shows of a surface: the inverse of correctApparentTemperature, °C. */
export function apparentTemperature(surfaceC: number, conditions: ViewingConditions): number {
  const name = "apparentTemperature";
  return shown(name, surfaceC, radiances(name, conditions));
}

function shown(
  name: string,
  surfaceC: number,
  { emissivity, transmission, reflected, atmosphere }: Radiances,
): number {
  requireCelsius(name, "surfaceC", surfaceC);
  const leaving = emissivity * fourth(surfaceC) + (1 - emissivity) * reflected;
  return celsiusOf(transmission * leaving + (1 - transmission) * atmosphere);
}

/**
 * A series recorded under one set of conditions as it would be under another: undoes the camera's own settings and applies
 * the true ones. NaN stays NaN.
 *
 * @param recorded °C as exported
 * @param assumed what the camera was set to; emissivity 1 where it corrected nothing
 * @param actual what was true
 */
export function recorrectSeries(
  recorded: Float64Array,
  assumed: ViewingConditions,
  actual: ViewingConditions,
): Float64Array {
  const name = "recorrectSeries";
  const told = radiances(name, assumed);
  const truth = radiances(name, actual);
  return recorded.map((value) =>
    Number.isNaN(value) ? Number.NaN : correct(name, shown(name, value, told), truth),
  );
}
