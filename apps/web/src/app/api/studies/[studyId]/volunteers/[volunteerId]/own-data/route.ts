import { exportOwnDataByStaff, openScope } from "@acral/api";
import { attachment } from "@/server/attachment";
import { respond } from "@/server/respond";

interface OwnDataContext {
  readonly params: Promise<{ readonly studyId: string; readonly volunteerId: string }>;
}

/** Everything that is kept about a volunteer, to be handed to the volunteer. Each export leaves its entry. */
export function GET(request: Request, { params }: OwnDataContext): Promise<Response> {
  return respond("ownData.export", request, async ({ core, actor }) => {
    const { studyId, volunteerId } = await params;
    const scope = await openScope(core, actor, studyId, "ownData.export");
    const { fileName, body } = await exportOwnDataByStaff(scope, volunteerId);
    return attachment(body, { name: fileName, sizeBytes: null });
  });
}
