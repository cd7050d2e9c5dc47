import { AppError, appRouter, assertSameSite, createContext } from "@acral/api";
import { fetchRequestHandler } from "@trpc/server/adapters/fetch";
import { bounded } from "@/server/bounded";
import { getCore } from "@/server/core";
import { logFailure } from "@/server/log-failure";
import { refusal } from "@/server/respond";

async function handle(request: Request): Promise<Response> {
  try {
    assertSameSite(request.headers);
    const core = await getCore();
    return await fetchRequestHandler({
      endpoint: "/api/trpc",
      req: await bounded(request),
      router: appRouter,
      // The browser sends at most 20 questions at once (src/trpc/client.tsx).
      maxBatchSize: 20,
      createContext: () => createContext(core, request.headers),
      onError: ({ path, error }) => {
        const expected = error.cause instanceof AppError || error.code !== "INTERNAL_SERVER_ERROR";
        if (!expected) logFailure(path ?? "trpc", error.cause ?? error);
      },
    });
  } catch (error) {
    return refusal("trpc", error);
  }
}

export { handle as GET, handle as POST };
