import { seededRandom } from "../seeded-random";
import type { SimulatedImagingRecord, SimulatedImagingSetup } from "../types";
import type { Visit } from "./visit-plan";

/** The camera, its place and its settings. All invented; the calibration is left unsaid, so that something is missing. */
export const imagingSetup: SimulatedImagingSetup = {
  camera: "An invented uncooled thermal camera of the rowing club",
  resolution: "640 × 480",
  accuracy: "±2 °C or ±2 % of the reading, whichever is larger (as an invented data sheet says)",
  calibration: "",
  emissivity: 0.98,
  reflectedTemperatureC: 23,
  reflectedTemperatureMethod: "Mean of a crumpled aluminium foil in the volunteer's place, at emissivity 1",
  distanceM: 1.5,
  frameSharePct: 60,
  viewAngleDeg: 0,
  cameraWarmUpMin: 45,
  acclimatisationMin: 15,
  acclimatisation: "Seated, the regions bare, arms not touching the trunk",
  surroundings: "No window, radiator or lamp within 3 m; ventilation off during a trial",
  referenceSource: { description: "A plate held at one temperature", temperatureC: 34, emissivity: 0.96 },
  posture: "Seated at rest and recovery, stepping upright; arms beside the body, palms to the camera",
  skinPreparation: "Nothing is applied; the skin is not wiped before or during the trial",
  outsideFactors:
    "Asked at arrival: training since the evening before, medicines, treatments of the skin, sunburn",
  regionDrawing: "Polygons over fixed landmarks, drawn on the first image and moved with the body",
  regionProgram: "An invented region program, version 2",
  timeOfDay: "Between 08:30 and 16:00, the same volunteer always at the same hour",
  notes: "",
};

const recentlyTrained = "Rowed for an hour on the evening before; no medicines";
const nothingNamed = "Nothing named when asked";

/** What the operator noted on the day; here and there something was forgotten. */
export function recordImaging(seed: number, visit: Visit): SimulatedImagingRecord | null {
  const random = seededRandom(
    seed,
    `imaging record ${visit.volunteerIndex} ${visit.condition} ${visit.occasion}`,
  );
  // Drawn in every trial, so that no trial depends on what another one forgot.
  const forgotten = random.uniform();
  const trained = random.uniform() < 0.15;
  const acclimatisationMin = imagingSetup.acclimatisationMin + random.integer(6);
  const distanceM = (145 + 5 * random.integer(3)) / 100;
  const foilC = Math.round(10 * (visit.room.meanRadiantTemperatureC + 0.4 * (random.uniform() - 0.5))) / 10;
  const warmUpMin = imagingSetup.cameraWarmUpMin + 5 * random.integer(5);
  const late = visit.faults.some(({ kind }) => kind === "warm-up drift");
  if (forgotten < 0.03) return null;
  return {
    cameraUnit: "Camera 1",
    cameraWarmUpMin: late ? 10 : warmUpMin,
    acclimatisationMin: forgotten < 0.07 ? null : acclimatisationMin,
    distanceM,
    viewAngleDeg: imagingSetup.viewAngleDeg,
    emissivity: imagingSetup.emissivity,
    reflectedTemperatureC: forgotten < 0.12 ? null : foilC,
    referenceInView: true,
    referenceTemperatureC: imagingSetup.referenceSource.temperatureC,
    posture: imagingSetup.posture,
    skinPreparation: forgotten >= 0.12 && forgotten < 0.18 ? "" : imagingSetup.skinPreparation,
    outsideFactors: forgotten >= 0.18 && forgotten < 0.22 ? "" : trained ? recentlyTrained : nothingNamed,
    timeOfDay: visit.startedAt.slice(11, 16),
    regionProgram: imagingSetup.regionProgram,
    regionsDrawnBy: `operator ${(visit.volunteerIndex % 5) + 1}`,
    deviations: late ? "The camera was switched on late." : "",
  };
}
