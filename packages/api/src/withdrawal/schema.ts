import { z } from "zod";
import { permissionKey } from "../consent-form/schema";
import { idSchema } from "../identifiers";
import { momentInput } from "../moment";

export const withdrawalEffect = z.enum(["stop", "exclude"], {
  error: "Choose what happens to what is stored already.",
});
export type WithdrawalEffect = z.output<typeof withdrawalEffect>;

/** Null takes back all. */
const permission = permissionKey.nullable();

export const withdrawInput = z.object({
  studyId: z.string(),
  volunteerId: idSchema,
  permission,
  effect: withdrawalEffect,
  effectiveAt: momentInput,
  reason: z.string().trim().max(1000, "A reason has at most 1000 characters.").prefault(""),
});

/** What a volunteer chooses by the own link; it holds from that moment on, and no reason is asked. */
export const ownWithdrawal = { permission, effect: withdrawalEffect } as const;
