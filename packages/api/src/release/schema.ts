import { z } from "zod";

export const licences = {
  "CC-BY-4.0": {
    name: "CC-BY-4.0",
    title: "Creative Commons Attribution 4.0",
    path: "https://creativecommons.org/licenses/by/4.0/",
  },
  "CC-BY-NC-4.0": {
    name: "CC-BY-NC-4.0",
    title: "Creative Commons Attribution-NonCommercial 4.0",
    path: "https://creativecommons.org/licenses/by-nc/4.0/",
  },
  "CC0-1.0": {
    name: "CC0-1.0",
    title: "Creative Commons Zero 1.0",
    path: "https://creativecommons.org/publicdomain/zero/1.0/",
  },
} as const;

export type LicenceId = keyof typeof licences;
const licenceIds = Object.keys(licences) as [LicenceId, ...LicenceId[]];

export const assessReleaseInput = z.object({
  studyId: z.string(),
  /** Every released combination of body data is shared by at least this many volunteers. */
  smallestGroup: z
    .number({ error: "Say how many volunteers must share each combination of body data." })
    .int()
    .min(2, "A group has at least 2 volunteers.")
    .max(50, "A group has at most 50 volunteers."),
  licence: z.enum(licenceIds),
});

export const makeReleaseInput = assessReleaseInput.extend({
  reason: z
    .string()
    .trim()
    .min(3, "Say for what the release is made; the register keeps the reason.")
    .max(500, "A reason has at most 500 characters."),
});

/** What the register keeps of the disclosure report: nothing in it points at one volunteer. */
export const keptReport = z.object({
  volunteers: z.object({ offered: z.number(), released: z.number() }),
  trials: z.object({ offered: z.number(), released: z.number() }),
  smallestGroup: z.number().nullable(),
  greatestRisk: z.number().nullable(),
  columns: z.array(z.object({ column: z.string(), words: z.string(), loss: z.number() })),
  warnings: z.array(z.string()),
  remainingRisks: z.array(z.string()),
  /** The head of the study's audit trail when the data were gathered, as a verification expects it; older releases have none. */
  auditHead: z.string().nullable().default(null),
});
export type KeptReport = z.output<typeof keptReport>;

export const keptRule = z.object({ k: z.number(), licence: z.string() }).loose();
