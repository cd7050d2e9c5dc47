import { assertSameSite } from "@acral/api";
import { bounded } from "@/server/bounded";
import { getCore } from "@/server/core";
import { refusal } from "@/server/respond";

async function handle(request: Request): Promise<Response> {
  try {
    // As everywhere, before anything else: the library looks at the body first, and gathers it whole.
    assertSameSite(request.headers);
    const { auth } = await getCore();
    return await auth.handler(await bounded(request));
  } catch (error) {
    return refusal("auth", error);
  }
}

export { handle as GET, handle as POST };
