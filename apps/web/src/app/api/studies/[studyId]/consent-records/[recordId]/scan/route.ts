import { AppError, openScope, receiveScan } from "@acral/api";
import { respond } from "@/server/respond";

interface ScanContext {
  readonly params: Promise<{ readonly studyId: string; readonly recordId: string }>;
}

async function* chunksOf(body: ReadableStream<Uint8Array>): AsyncGenerator<Uint8Array> {
  const reader = body.getReader();
  try {
    for (let next = await reader.read(); !next.done; next = await reader.read()) yield next.value;
  } finally {
    // A refusal in the middle: the rest is not wanted any more.
    await reader.cancel().catch(() => undefined);
  }
}

/** Takes the scan of a paper form: its bytes are the body of the request. */
export function POST(request: Request, { params }: ScanContext): Promise<Response> {
  return respond("consent.addScan", request, async ({ core, actor }) => {
    const { studyId, recordId } = await params;
    const scope = await openScope(core, actor, studyId, "consent.addScan");
    const { body } = request;
    if (body === null) throw new AppError("file-refused", "The request had no bytes. Nothing was kept.");
    return Response.json(await receiveScan(scope, { recordId, body: chunksOf(body) }));
  });
}
