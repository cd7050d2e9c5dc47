import { openScope, openSourceFile } from "@acral/api";
import { attachment } from "@/server/attachment";
import { respond } from "@/server/respond";

interface FileContext {
  readonly params: Promise<{ readonly studyId: string; readonly trialId: string; readonly fileId: string }>;
}

/** Gives a source file back byte for byte. */
export function GET(request: Request, { params }: FileContext): Promise<Response> {
  return respond("file.download", request, async ({ core, actor }) => {
    const { studyId, trialId, fileId } = await params;
    const scope = await openScope(core, actor, studyId, "file.download");
    const file = await openSourceFile(scope, trialId, fileId);
    return attachment(file.body, { name: file.name, sizeBytes: file.sizeBytes });
  });
}
