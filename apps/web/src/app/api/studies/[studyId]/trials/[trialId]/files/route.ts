import { AppError, openScope, receiveSourceFile, replacesSchema, uploadHeaderSchema } from "@acral/api";
import { respond } from "@/server/respond";

interface FilesContext {
  readonly params: Promise<{ readonly studyId: string; readonly trialId: string }>;
}

/** The name travels percent-encoded, because a header holds ASCII only. */
function decoded(text: string | null): string {
  try {
    return decodeURIComponent(text ?? "");
  } catch {
    return "";
  }
}

/** Which file the upload takes the place of, if it says so. */
function replacesOf(headers: Headers) {
  const sourceFileId = headers.get("x-replaces");
  if (sourceFileId === null) return null;
  const said = replacesSchema.safeParse({
    sourceFileId,
    revision: Number(headers.get("x-replaces-revision")),
    reason: decoded(headers.get("x-reason")),
  });
  if (said.success) return said.data;
  const issue = said.error.issues[0];
  throw new AppError("invalid", `${issue?.message ?? "The reason is missing."} Nothing was kept.`, {
    field: issue?.path.join(".") ?? "reason",
  });
}

function declaredSize(headers: Headers): number {
  const size = headers.get("x-file-size") ?? headers.get("content-length");
  return size === null ? Number.NaN : Number(size);
}

/** A connection that breaks, or is cancelled by the person, is nothing that failed here. */
async function read(reader: ReadableStreamDefaultReader<Uint8Array>) {
  try {
    return await reader.read();
  } catch (cause) {
    throw new AppError("file-refused", "The upload broke off. Nothing was kept; upload the file again.", {
      cause,
    });
  }
}

/** The bytes as they arrive. Nothing is gathered in memory. */
async function* chunksOf(body: ReadableStream<Uint8Array>): AsyncGenerator<Uint8Array> {
  const reader = body.getReader();
  try {
    for (let next = await read(reader); !next.done; next = await read(reader)) yield next.value;
  } finally {
    // A refusal in the middle: the rest is not wanted any more.
    await reader.cancel().catch(() => undefined);
  }
}

/** Takes one source file: its bytes are the body of the request. */
export function POST(request: Request, { params }: FilesContext): Promise<Response> {
  return respond("file.upload", request, async ({ core, actor }) => {
    const { studyId, trialId } = await params;
    const scope = await openScope(core, actor, studyId, "file.upload");
    const { headers } = request;
    const said = uploadHeaderSchema.safeParse({
      trialId,
      name: decoded(headers.get("x-file-name")),
      declaredBytes: declaredSize(headers),
      declaredSha256: headers.get("x-file-sha256"),
    });
    if (!said.success) {
      const issue = said.error.issues[0];
      const what = issue === undefined ? "" : ` ${issue.path.join(".")}: ${issue.message}`;
      throw new AppError("invalid", `The upload does not say what it sends.${what} Nothing was kept.`);
    }
    const replaces = replacesOf(headers);
    const { body } = request;
    if (body === null) throw new AppError("file-refused", "The request had no bytes. Nothing was kept.");
    return Response.json(await receiveSourceFile(scope, { ...said.data, replaces, body: chunksOf(body) }));
  });
}
