import { isRegionId, statistics } from "@acral/analysis/skin";
import { z } from "zod";
import { idSchema } from "../identifiers";
import { emptyImagingSetup, imagingSetup } from "../imaging/schema";
import { plausibleNumber } from "../plausible-number";

/** The one stop criterion that every protocol has; it cannot be removed. */
export const alwaysStop = "The volunteer asks to stop, in words or by a sign, with or without a reason.";

const line = (what: string, most: number) =>
  z.string().trim().max(most, `${what} has at most ${most} characters.`);
const lines = (what: string) =>
  z
    .array(line(what, 600))
    .max(60, `There are at most 60 entries of this kind.`)
    .transform((texts) => [...new Set(texts.filter((text) => text !== ""))]);

/** Given once, kept over all versions, so that trials of different versions can be compared. */
const key = z
  .string()
  .regex(
    /^[a-z][a-z0-9-]{0,39}$/,
    "A key is lower-case letters, digits and hyphens, and begins with a letter.",
  );

export const phaseKinds = ["rest", "exercise", "recovery"] as const;
export type PhaseKind = (typeof phaseKinds)[number];

const longestPhaseS = 24 * 3600;
const durationS = z
  .number({ error: "A duration is a number of seconds." })
  .min(1, "A phase lasts at least 1 second.")
  .max(longestPhaseS, "A phase lasts at most 24 hours.");

const draftPhase = z.object({
  key,
  name: line("A name", 80),
  kind: z.enum(phaseKinds),
  durationS: durationS.nullable(),
});
const draftCondition = z.object({
  key,
  name: line("A name", 80),
  description: line("A description", 2000),
});

const recordedRegion = z.object({
  regionId: z.string().refine(isRegionId, "This region is not in the region catalogue."),
  statistic: z.enum(statistics as [(typeof statistics)[number], ...(typeof statistics)[number][]]),
});

/** Both limits are open in a draft; a limit that stays open limits nothing. */
function limits(bound: z.ZodNumber) {
  return z
    .object({ min: bound.nullable(), max: bound.nullable() })
    .refine(({ min, max }) => min === null || max === null || min <= max, {
      error: "The lower limit is above the upper limit.",
      path: ["max"],
    });
}

const shared = {
  schema: z.literal(2),
  occasions: z
    .number({ error: "Say how many occasions there are per condition." })
    .int("Occasions are a whole number.")
    .min(1, "There is at least 1 occasion per condition.")
    .max(10, "There are at most 10 occasions per condition."),
  exerciseLoad: line("The exercise load", 2000),
  roomLimits: z.object({
    airTemperatureC: limits(plausibleNumber("airTemperatureC", "The air temperature")),
    meanRadiantTemperatureC: limits(
      plausibleNumber("meanRadiantTemperatureC", "The mean radiant temperature"),
    ),
    relativeHumidityPct: limits(plausibleNumber("relativeHumidityPercent", "The relative humidity")),
    airSpeedMS: z.object({ max: plausibleNumber("airSpeedMPerS", "The air speed").nullable() }),
  }),
  imaging: imagingSetup,
  preVisitRules: lines("A rule"),
  plannedOutcomes: lines("An outcome"),
};

const stopCriteria = lines("A stop criterion").transform((texts) => [
  alwaysStop,
  ...texts.filter((text) => text !== alwaysStop),
]);

interface Keyed {
  readonly key: string;
  readonly name: string;
}

function refuseRepeated(items: readonly Keyed[], list: string, context: z.RefinementCtx): void {
  items.forEach((item, index) => {
    const earlier = items.slice(0, index);
    if (earlier.some((other) => other.key === item.key)) {
      context.addIssue({
        code: "custom",
        message: `The key ${item.key} is used twice.`,
        path: [list, index, "key"],
      });
    }
    if (item.name !== "" && earlier.some((other) => other.name.toLowerCase() === item.name.toLowerCase())) {
      context.addIssue({
        code: "custom",
        message: `The name ${item.name} is used twice.`,
        path: [list, index, "name"],
      });
    }
  });
}

interface Parts {
  readonly phases: readonly Keyed[];
  readonly conditions: readonly Keyed[];
  readonly regions: readonly { readonly regionId: string; readonly statistic: string }[];
}

function refuseRepetitions(content: Parts, context: z.RefinementCtx): void {
  refuseRepeated(content.phases, "phases", context);
  refuseRepeated(content.conditions, "conditions", context);
  content.regions.forEach((region, index) => {
    const first = content.regions.findIndex(
      (other) => other.regionId === region.regionId && other.statistic === region.statistic,
    );
    if (first < index) {
      context.addIssue({
        code: "custom",
        message: "This region is chosen twice with the same statistic.",
        path: ["regions", index],
      });
    }
  });
}

const mostPhases = 30;
const mostConditions = 12;
const mostRegions = 300;

/** The imaging set-up as contents of schema 1 hold it. */
const imagingOfSchema1 = z.object({
  camera: z.string(),
  emissivity: z.number().nullable(),
  distanceM: z.number().nullable(),
  cameraWarmUpMin: z.number().nullable(),
  referenceSurface: z.string(),
  notes: z.string(),
});

/** A content that was stored before schema 2 came: what it could not say stays open. Everything else passes as it is. */
function toSchema2(content: unknown): unknown {
  const old = z.looseObject({ schema: z.literal(1), imaging: imagingOfSchema1 }).safeParse(content);
  if (!old.success) return content;
  const { referenceSurface, ...imaging } = old.data.imaging;
  const nothing = emptyImagingSetup();
  return {
    ...old.data,
    schema: 2,
    imaging: {
      ...nothing,
      ...imaging,
      referenceSource: { ...nothing.referenceSource, description: referenceSurface },
    },
  };
}

/** Reads a content of schema 2, or of schema 1 as it was stored; what is written is always schema 2. */
const readable = <Current extends z.ZodType>(current: Current) =>
  z.preprocess<unknown, Current, z.input<Current>>(toSchema2, current);

const currentDraft = z
  .object({
    ...shared,
    phases: z.array(draftPhase).max(mostPhases, `A protocol has at most ${mostPhases} phases.`),
    conditions: z
      .array(draftCondition)
      .max(mostConditions, `A protocol has at most ${mostConditions} conditions.`),
    regions: z.array(recordedRegion).max(mostRegions, `A protocol has at most ${mostRegions} regions.`),
    stopCriteria,
  })
  .superRefine(refuseRepetitions);

/** What a draft may hold: names may be empty and durations open. */
export const draftContent = readable(currentDraft);
export type DraftContent = z.output<typeof draftContent>;

const named = (what: string) => z.string().min(1, `${what} needs a name.`);

const currentProtocol = z
  .object({
    ...shared,
    phases: z.array(draftPhase.extend({ name: named("A phase"), durationS })).min(1),
    conditions: z.array(draftCondition.extend({ name: named("A condition") })).min(1),
    regions: z.array(recordedRegion).min(1),
    stopCriteria: stopCriteria.refine((texts) => texts.length > 1),
  })
  .superRefine(refuseRepetitions);

/** What stands in a protocol that is or was in force. */
export const protocolContent = readable(currentProtocol);
export type ProtocolContent = z.output<typeof protocolContent>;

export const protocolInput = z.object({ studyId: z.string(), protocolId: idSchema });
const revision = z.number().int();
export const saveDraftInput = protocolInput.extend({ revision, content: draftContent });
export const draftAtRevisionInput = protocolInput.extend({ revision });
