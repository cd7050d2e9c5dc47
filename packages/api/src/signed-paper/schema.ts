import { z } from "zod";
import { idSchema } from "../identifiers";

/** The pad on which a signature is drawn, in its own units. */
export const signaturePad = { width: 1000, height: 400 } as const;

const point = z.tuple([
  z.number().int().min(0).max(signaturePad.width),
  z.number().int().min(0).max(signaturePad.height),
]);

/** A drawn signature: strokes of points on the pad. Never a picture, so that nothing has to be decoded. */
export const strokesSchema = z
  .array(z.array(point).min(1).max(2000))
  .min(1, "Draw the signature, or sign with the typed name alone.")
  .max(200, "The signature has too many strokes. Clear it and draw it anew.")
  .refine((strokes) => strokes.reduce((sum, stroke) => sum + stroke.length, 0) <= 10_000, {
    error: "The signature is too long. Clear it and draw it anew.",
  });
export type Strokes = z.output<typeof strokesSchema>;

export const paperInput = z.object({ studyId: z.string(), paperId: idSchema });
