import "server-only";
import { appRouter, createCaller, createContext } from "@acral/api";
import { dehydrate, type FetchQueryOptions, HydrationBoundary } from "@tanstack/react-query";
import { createTRPCOptionsProxy } from "@trpc/tanstack-react-query";
import { headers } from "next/headers";
import { redirect } from "next/navigation";
import { cache, type ReactNode } from "react";
import { getCore } from "../server/core";
import { makeQueryClient } from "./query-client";

/** The context of the request that is being rendered, made once per request. */
const getContext = cache(async () => {
  // Headers first: at build time there are none, the page is left for the request, and no database is opened.
  const requestHeaders = await headers();
  return createContext(await getCore(), requestHeaders);
});

/** Calls the API straight, for pages that anybody may open. Throws what the API throws. */
export const publicApi = cache(async () => createCaller(await getContext()));

/** Who is signed in. Nobody: off to the sign-in page, and back here afterwards. */
export const signedInPerson = cache(async () => {
  const { actor } = await getContext();
  if (actor !== null) return actor;
  const path = (await headers()).get("x-path") ?? "/studies";
  redirect(`/sign-in?then=${encodeURIComponent(path)}`);
});

/**
 * Calls the API straight, for pages of signed-in people that branch on the answer. Throws what the API throws. Layouts
 * and pages are made side by side, so each of them asks for the person; a layout alone would not keep a page from running.
 */
export const api = cache(async () => {
  await signedInPerson();
  return publicApi();
});

const getQueryClient = cache(makeQueryClient);

/** The options of queries, to be fetched ahead in a page: `await prefetch(trpc.volunteer.list.queryOptions({...}))`. */
export const trpc = createTRPCOptionsProxy({
  ctx: getContext,
  router: appRouter,
  queryClient: getQueryClient,
});

/**
 * Fetches ahead, so that the screen arrives with its rows. Always await it. A failure is not shown here: the browser
 * asks again and shows its own error state.
 */
export async function prefetch<Data, Failure, Shown, Key extends readonly unknown[]>(
  options: FetchQueryOptions<Data, Failure, Shown, Key>,
): Promise<void> {
  await getQueryClient().prefetchQuery(options);
}

export function Hydrated({ children }: { readonly children: ReactNode }) {
  return <HydrationBoundary state={dehydrate(getQueryClient())}>{children}</HydrationBoundary>;
}
