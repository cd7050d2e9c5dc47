import { z } from "zod";

/** A value in the audit trail: what stood there before, or stands there now. Never identity. */
export type AuditValues = Readonly<
  Record<string, string | number | boolean | null | readonly (string | number)[]>
>;

export interface AuditSubject {
  readonly kind: string;
  readonly id: string;
  readonly label: string;
  /**
   * The volunteer whom the entry concerns. Left out, it is found for a volunteer, a trial and a source file that is
   * there when the entry is written; null for what concerns nobody.
   */
  readonly volunteerId?: string | null;
}

export interface AuditDraft {
  readonly action: string;
  readonly subject: AuditSubject;
  readonly before?: AuditValues;
  readonly after?: AuditValues;
  readonly reason?: string;
}

/** The person of an entry that nobody who was signed in has caused. */
export const nobody = "nobody";

/** A moment in UTC; what an address or a form says otherwise is refused. */
const moment = z.iso.datetime({ error: "Enter a date and a time." });

const auditFilter = z.object({
  action: z.string().max(80).optional(),
  subjectKind: z.string().max(40).optional(),
  /** The account of a person, or "nobody". */
  person: z.string().max(80).optional(),
  /** Exactly, but in any letter case. */
  volunteerCode: z.string().max(40).optional(),
  /** From this moment on. */
  from: moment.optional(),
  /** Before this moment. */
  until: moment.optional(),
  /** A part of what the subject is called, of a person's name or of a reason. */
  search: z.string().max(80).optional(),
});
export type AuditFilter = z.output<typeof auditFilter>;

export const auditListInput = auditFilter.extend({
  studyId: z.string(),
  page: z.number().int().min(1).prefault(1),
  pageSize: z.number().int().min(1).max(200).prefault(50),
});
export type AuditListInput = z.infer<typeof auditListInput>;

export const auditExportInput = auditFilter.extend({
  format: z.enum(["csv", "jsonl"], { error: "An export is made as csv or as jsonl." }),
});
export type AuditExportInput = z.output<typeof auditExportInput>;
