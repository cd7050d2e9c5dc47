import { AppError, assertSameSite, copyByLink, copyInput, senderOf } from "@acral/api";
import { attachment } from "@/server/attachment";
import { getCore } from "@/server/core";
import { refusal } from "@/server/respond";

/** More than any link and identifier need. */
const mostCharacters = 1000;

/** The volunteer's own copy. The token travels in the body, so that no address holds it. */
export async function POST(request: Request): Promise<Response> {
  try {
    assertSameSite(request.headers);
    const said = copyInput.safeParse(await small(request));
    if (!said.success) throw new AppError("invalid", "The request does not say which copy is asked for.");
    const { bytes, name } = await copyByLink(await getCore(), said.data, senderOf(request.headers));
    const body = (async function* () {
      yield bytes;
    })();
    return attachment(body, { name, sizeBytes: bytes.length });
  } catch (error) {
    return refusal("for-you.copy", error);
  }
}

async function small(request: Request): Promise<unknown> {
  if (Number(request.headers.get("content-length") ?? Number.NaN) <= mostCharacters) {
    try {
      return await request.json();
    } catch {
      // Not JSON: told like every other request that does not say what it wants.
    }
  }
  return null;
}
