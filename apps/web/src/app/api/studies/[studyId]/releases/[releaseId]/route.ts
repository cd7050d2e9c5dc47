import { downloadRelease, openScope } from "@acral/api";
import { attachment } from "@/server/attachment";
import { respond } from "@/server/respond";

interface ReleaseContext {
  readonly params: Promise<{ readonly studyId: string; readonly releaseId: string }>;
}

/** Hands out a release. Each download leaves its entry in the audit trail. */
export function GET(request: Request, { params }: ReleaseContext): Promise<Response> {
  return respond("release.download", request, async ({ core, actor }) => {
    const { studyId, releaseId } = await params;
    const scope = await openScope(core, actor, studyId, "release.download");
    const { sha256, sizeBytes, fileName } = await downloadRelease(scope, releaseId);
    return attachment(core.blobs.read(sha256), { name: fileName, sizeBytes });
  });
}
