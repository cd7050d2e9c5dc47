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

export const auditListInput = z.object({
  studyId: z.string(),
  action: z.string().max(80).optional(),
  subjectKind: z.string().max(40).optional(),
  search: z.string().max(80).optional(),
  page: z.number().int().min(1).prefault(1),
  pageSize: z.number().int().min(1).max(200).prefault(50),
});
export type AuditListInput = z.infer<typeof auditListInput>;
