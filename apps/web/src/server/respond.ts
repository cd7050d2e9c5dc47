import "server-only";
import { AppError, assertSameSite, type Core, createContext, httpStatusOf } from "@acral/api";
import { getCore } from "./core";
import { logFailure } from "./log-failure";

type Actor = NonNullable<Awaited<ReturnType<typeof createContext>>["actor"]>;

/** What a plain HTTP route is given: who asks is known, and the request came from this site. */
export interface RouteScope {
  readonly core: Core;
  readonly actor: Actor;
  readonly request: Request;
}

/** The JSON of a refusal or a failure; `message` is meant for the person at the screen. */
export function refusal(where: string, error: unknown): Response {
  if (error instanceof AppError) {
    const { code, message, field, details } = error;
    return Response.json({ code, message, field, details }, { status: httpStatusOf[code] });
  }
  logFailure(where, error);
  return Response.json(
    {
      code: "failure",
      message:
        "Something failed on the server. Nothing was kept of this request; try again, and tell the person who runs this server if it stays.",
    },
    { status: 500 },
  );
}

/**
 * For uploads and downloads, which do not go through tRPC: checks the site and the session, then runs the route, and
 * turns what it throws into an answer. The role in the study is checked by the use case that the route calls.
 */
export async function respond(
  where: string,
  request: Request,
  route: (scope: RouteScope) => Promise<Response>,
): Promise<Response> {
  try {
    assertSameSite(request.headers);
    const core = await getCore();
    const { actor } = await createContext(core, request.headers);
    if (actor === null) {
      throw new AppError(
        "sign-in-needed",
        "Sign in first, then try again. What you entered is kept on this page.",
      );
    }
    return await route({ core, actor, request });
  } catch (error) {
    return refusal(where, error);
  }
}
