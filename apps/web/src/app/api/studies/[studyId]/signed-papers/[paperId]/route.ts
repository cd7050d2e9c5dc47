import { openPaper, openScope } from "@acral/api";
import { attachment } from "@/server/attachment";
import { respond } from "@/server/respond";

interface PaperContext {
  readonly params: Promise<{ readonly studyId: string; readonly paperId: string }>;
}

/** A scan, a signature or a copy; each reading is in the audit trail. */
export function GET(request: Request, { params }: PaperContext): Promise<Response> {
  return respond("consent.openPaper", request, async ({ core, actor }) => {
    const { studyId, paperId } = await params;
    const scope = await openScope(core, actor, studyId, "consent.openPaper");
    const { bytes, name } = await openPaper(scope, { paperId });
    const body = (async function* () {
      yield bytes;
    })();
    return attachment(body, { name, sizeBytes: bytes.length });
  });
}
