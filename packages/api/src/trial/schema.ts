import { TrialState } from "@acral/db";
import { z } from "zod";
import { idSchema } from "../identifiers";
import { plausibleNumber } from "../plausible-number";

const studyId = z.string();
const trialId = idSchema;
const revision = z.number().int();

export const trialSorts = ["volunteer", "condition", "occasion", "state", "changed"] as const;

export const trialListInput = z.object({
  studyId,
  states: z.array(z.enum(TrialState)).max(5).prefault([]),
  conditionKey: z.string().max(80).optional(),
  volunteer: z.string().trim().max(40).optional(),
  page: z.number().int().min(1).prefault(1),
  pageSize: z.number().int().min(1).max(200).prefault(50),
  sort: z.enum(trialSorts).prefault("volunteer"),
  direction: z.enum(["ascending", "descending"]).prefault("ascending"),
});

export const trialInput = z.object({ studyId, trialId });

/** `asRecorded`: without the adjustments of its files. `span`: only the part of the trial's clock that is looked at closer. */
export const courseInput = trialInput.extend({
  asRecorded: z.boolean().prefault(false),
  span: z
    .object({ fromS: z.number(), toS: z.number() })
    .refine(({ fromS, toS }) => fromS < toS, {
      error: "The part that is looked at ends before it begins.",
      path: ["toS"],
    })
    .nullable()
    .prefault(null),
});

export const planTrialInput = z.object({
  studyId,
  volunteerId: idSchema,
  conditionKey: z.string().min(1, "Choose a condition.").max(80),
  occasion: z.number().int().min(1, "Occasions count from 1.").max(99),
  plannedFor: z.iso
    .datetime({ offset: true, error: "Give a date and a time of day, or leave it empty." })
    .nullable()
    .prefault(null),
});

export const roomSchema = z.object({
  airTemperatureC: plausibleNumber("airTemperatureC", "The air temperature").nullable(),
  meanRadiantTemperatureC: plausibleNumber(
    "meanRadiantTemperatureC",
    "The mean radiant temperature",
  ).nullable(),
  relativeHumidityPct: plausibleNumber("relativeHumidityPercent", "The relative humidity").nullable(),
  airSpeedMS: plausibleNumber("airSpeedMPerS", "The air speed").nullable(),
});
export type Room = z.output<typeof roomSchema>;

export const saveRoomInput = z.object({ studyId, trialId, revision, room: roomSchema });

export const stepInput = z.object({ studyId, trialId, revision });

const reason = z
  .string()
  .trim()
  .min(3, "Say why, in at least 3 characters.")
  .max(500, "A reason has at most 500 characters.");

export const setAsideInput = z.object({ studyId, trialId, revision, reason });
export const reopenInput = z.object({ studyId, trialId, revision, reason });
