import { defaultShouldDehydrateQuery, QueryClient } from "@tanstack/react-query";
import { TRPCClientError } from "@trpc/client";

/** What the server refused for a reason stays refused; only a broken connection or a failure is worth another try. */
function isRefusal(error: unknown): boolean {
  if (!(error instanceof TRPCClientError)) return false;
  const status: unknown = error.data?.httpStatus;
  return typeof status === "number" && status >= 400 && status < 500;
}

export function makeQueryClient(): QueryClient {
  return new QueryClient({
    defaultOptions: {
      queries: {
        // Fresh enough not to ask again for what the server has just rendered.
        staleTime: 10_000,
        retry: (failures, error) => failures < 2 && !isRefusal(error),
      },
      // Only finished queries: a pending one may settle between server and browser and make their first pictures differ.
      dehydrate: { shouldDehydrateQuery: defaultShouldDehydrateQuery },
    },
  });
}
