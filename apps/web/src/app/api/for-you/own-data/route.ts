import { AppError, assertSameSite, exportByLink, senderOf, tokenInput } from "@acral/api";
import { attachment } from "@/server/attachment";
import { getCore } from "@/server/core";
import { refusal } from "@/server/respond";
import { smallBody } from "@/server/small-body";

/** Everything that is kept about a volunteer, for the volunteer. The token travels in the body, so that no address holds it. */
export async function POST(request: Request): Promise<Response> {
  try {
    assertSameSite(request.headers);
    const said = tokenInput.safeParse(await smallBody(request));
    if (!said.success) throw new AppError("invalid", "The request does not say by which link.");
    const { fileName, body } = await exportByLink(await getCore(), said.data, senderOf(request.headers));
    return attachment(body, { name: fileName, sizeBytes: null });
  } catch (error) {
    return refusal("for-you.own-data", error);
  }
}
