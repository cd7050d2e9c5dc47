import { AppError, assertSameSite, copyByLink, copyInput, senderOf } from "@acral/api";
import { attachment } from "@/server/attachment";
import { getCore } from "@/server/core";
import { refusal } from "@/server/respond";
import { smallBody } from "@/server/small-body";

/** The volunteer's own copy. The token travels in the body, so that no address holds it. */
export async function POST(request: Request): Promise<Response> {
  try {
    assertSameSite(request.headers);
    const said = copyInput.safeParse(await smallBody(request));
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
