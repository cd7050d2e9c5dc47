import { z } from "zod";

/** The chain of what happens outside studies; no study has this for its identifier. */
export const outsideChain = "outside";

/**
 * What somebody noted of a chain at some time: that its entry of this number had this hash. Written as
 * `<study>:<number>:<hash>`.
 */
export interface Anchor {
  readonly chain: string;
  readonly sequence: number;
  readonly hash: string;
}

export const anchorSchema = z
  .string()
  .regex(/^[^:\s]+:[1-9]\d{0,9}:[0-9a-f]{64}$/, {
    error: "is not of the form study:number:hash, as a verification, the audit screen and a release print it",
  })
  .transform((text): Anchor => {
    const [chain = "", sequence = "", hash = ""] = text.split(":");
    return { chain, sequence: Number(sequence), hash };
  });

export const anchorText = ({ chain, sequence, hash }: Anchor): string => `${chain}:${sequence}:${hash}`;

/** An entry as the database holds it; moments and documents as the texts that are hashed. */
export const chainedEntry = z.object({
  id: z.string(),
  studyId: z.string().nullable(),
  sequence: z.number(),
  /** `2026-01-15T10:00:00.000Z`, or whatever text the database gives for a moment that is none. */
  at: z.string().nullable(),
  actorId: z.string().nullable(),
  actorName: z.string(),
  action: z.string(),
  subjectKind: z.string(),
  subjectId: z.string(),
  subjectLabel: z.string(),
  volunteerId: z.string().nullable(),
  /** As PostgreSQL writes a jsonb value: keys sorted by length, then by bytes. */
  before: z.string().nullable(),
  after: z.string().nullable(),
  reason: z.string().nullable(),
  previousHash: z.string(),
  hash: z.string(),
  valuesDigest: z.string(),
  valuesSalt: z.string().nullable(),
});
export type ChainedEntry = z.output<typeof chainedEntry>;

/** The entry that says that the values of a volunteer's entries went with the volunteer. */
export const eraseValuesAction = "audit.eraseValues";
