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

export const countersignInput = z.object({ studyId: z.string(), recordId: idSchema });
