import { z } from "zod";
import { idSchema } from "../identifiers";
import { plausibleNumber } from "../plausible-number";
import { reportingItemKeys } from "../reporting/schema";

const text = (what: string, most: number) =>
  z.string().trim().max(most, `${what} has at most ${most} characters.`);

function within(what: string, unit: string, min: number, max: number) {
  const after = unit === "" ? "" : ` ${unit}`;
  const message = `${what} lies between ${min} and ${max}${after}. Check the unit and the digits.`;
  return z
    .number({ error: `${what} is a number${after === "" ? "" : ` in${after}`}.` })
    .min(min, message)
    .max(max, message);
}

const minutes = (what: string) => within(what, "min", 0, 480).nullable();

/** Why a reporting item does not apply; an item without an entry applies. */
const notApplicable = z.partialRecord(
  z.enum(reportingItemKeys),
  z
    .string()
    .trim()
    .min(3, "Say why this does not apply, in at least 3 characters.")
    .max(300, "A reason has at most 300 characters."),
);

/** What the protocol and the record of a trial both say, so that the one can be held against the other. */
const asSetUp = {
  cameraWarmUpMin: minutes("The camera's warm-up"),
  acclimatisationMin: minutes("The acclimatisation"),
  distanceM: within("The distance", "m", 0.1, 20).nullable(),
  /** From the perpendicular onto the skin: 0 is straight on. */
  viewAngleDeg: within("The angle", "°", 0, 90).nullable(),
  emissivity: plausibleNumber("emissivity", "The emissivity").nullable(),
  reflectedTemperatureC: plausibleNumber(
    "meanRadiantTemperatureC",
    "The reflected apparent temperature",
  ).nullable(),
  posture: text("The posture", 400),
  skinPreparation: text("The preparation of the skin", 400),
  outsideFactors: text("What is known of outside factors", 1000),
  regionProgram: text("The program", 200),
};

const emptyAsSetUp = {
  cameraWarmUpMin: null,
  acclimatisationMin: null,
  distanceM: null,
  viewAngleDeg: null,
  emissivity: null,
  reflectedTemperatureC: null,
  posture: "",
  skinPreparation: "",
  outsideFactors: "",
  regionProgram: "",
};

const referenceTemperatureC = within("The temperature of the reference source", "°C", -20, 120).nullable();

/** The imaging set-up as a protocol plans it. Everything may stay empty. */
export const imagingSetup = z.object({
  ...asSetUp,
  /** Maker and model. */
  camera: text("The camera", 200),
  resolution: text("The resolution", 100),
  accuracy: text("The stated accuracy", 200),
  calibration: text("The calibration", 400),
  frameSharePct: within("The share of the frame", "%", 1, 100).nullable(),
  reflectedTemperatureMethod: text("How the reflected temperature is measured", 400),
  /** A surface of known temperature in view. Its true temperature is what a drift is measured against. */
  referenceSource: z.object({
    description: text("The reference source", 400),
    temperatureC: referenceTemperatureC,
    emissivity: within("The emissivity of the reference source", "", 0.1, 1).nullable(),
  }),
  acclimatisation: text("How volunteers acclimatise", 400),
  surroundings: text("What is said of heat sources and draughts", 400),
  regionDrawing: text("How regions are drawn", 1000),
  timeOfDay: text("The time of day", 200),
  notes: text("The notes", 2000),
  notApplicable,
});
export type ImagingSetup = z.output<typeof imagingSetup>;

/** An imaging set-up before anything is written into it. */
export function emptyImagingSetup(): ImagingSetup {
  return {
    ...emptyAsSetUp,
    camera: "",
    resolution: "",
    accuracy: "",
    calibration: "",
    frameSharePct: null,
    reflectedTemperatureMethod: "",
    referenceSource: { description: "", temperatureC: null, emissivity: null },
    acclimatisation: "",
    surroundings: "",
    regionDrawing: "",
    timeOfDay: "",
    notes: "",
    notApplicable: {},
  };
}

/** What was done, set or measured on the day of one trial. */
export const imagingRecord = z.object({
  schema: z.literal(1),
  ...asSetUp,
  /** Which of several cameras: an inventory or serial number. */
  cameraUnit: text("The camera used", 120),
  referenceInView: z.boolean().nullable(),
  referenceTemperatureC,
  /** Local time of day at which the recording began, "09:30". */
  timeOfDay: z
    .string()
    .regex(/^([01]\d|2[0-3]):[0-5]\d$/, "A time of day is hours and minutes, such as 09:30.")
    .nullable(),
  regionsDrawnBy: text("Who drew the regions", 120),
  deviations: text("What differed from the protocol", 2000),
  notApplicable,
});
export type ImagingRecord = z.output<typeof imagingRecord>;

/** A record before anything is written into it. */
export function emptyImagingRecord(): ImagingRecord {
  return {
    schema: 1,
    ...emptyAsSetUp,
    cameraUnit: "",
    referenceInView: null,
    referenceTemperatureC: null,
    timeOfDay: null,
    regionsDrawnBy: "",
    deviations: "",
    notApplicable: {},
  };
}

const studyId = z.string();
const trialId = idSchema;

export const imagingOfTrialInput = z.object({ studyId, trialId });

/** `revision` is that of the record, 0 while there is none. */
export const saveImagingInput = z.object({
  studyId,
  trialId,
  revision: z.number().int().min(0),
  record: imagingRecord,
});
