import { z } from "zod";
import { permissionKey } from "../consent-form/schema";
import { idSchema } from "../identifiers";
import { momentInput } from "../moment";

export const decisions = z.record(permissionKey, z.boolean({ error: "Decide: permitted or refused." }));

export const recordConsentInput = z.object({
  studyId: z.string(),
  volunteerId: idSchema,
  formId: idSchema,
  signedAt: momentInput,
  nameAsSigned: z
    .string()
    .trim()
    .min(1, "Enter the name as it was signed.")
    .max(200, "A name has at most 200 characters."),
  decisions,
});

export const withdrawInput = z.object({
  studyId: z.string(),
  volunteerId: idSchema,
  /** Null takes back all. */
  permission: permissionKey.nullable(),
  effectiveAt: momentInput,
  reason: z.string().trim().max(1000, "A reason has at most 1000 characters.").prefault(""),
});

export const countersignInput = z.object({ studyId: z.string(), recordId: idSchema });
