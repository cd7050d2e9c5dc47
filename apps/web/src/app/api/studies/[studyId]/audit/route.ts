import { AppError, auditExportInput, exportAuditTrail, openScope } from "@acral/api";
import { actionName } from "@/features/audit/action-names";
import { attachment } from "@/server/attachment";
import { respond } from "@/server/respond";

interface AuditContext {
  readonly params: Promise<{ readonly studyId: string }>;
}

/** Hands out the audit trail as CSV or JSON Lines, under the filters of the address. That it did is an entry of the trail. */
export function GET(request: Request, { params }: AuditContext): Promise<Response> {
  return respond("audit.export", request, async ({ core, actor }) => {
    const { studyId } = await params;
    const scope = await openScope(core, actor, studyId, "audit.export");
    const asked = auditExportInput.safeParse(Object.fromEntries(new URL(request.url).searchParams));
    if (!asked.success) {
      const issue = asked.error.issues[0];
      throw new AppError("invalid", issue?.message ?? "The export is asked for wrongly.", {
        field: issue?.path.join(".") ?? "format",
      });
    }
    const { fileName, body } = await exportAuditTrail(scope, asked.data, actionName);
    return attachment(body, { name: fileName, sizeBytes: null });
  });
}
