import type { Actor } from "./access/service";
import { AppError } from "./app-error";
import type { Core } from "./core";
import { senderOf } from "./sender";
import type { Context } from "./trpc";

/** Who is signed in, read from the session in the database at every request. */
export async function actorOf(core: Core, headers: Headers): Promise<Actor | null> {
  const session = await core.auth.api.getSession({ headers });
  if (session === null) return null;
  const { user } = session;
  const { id, createdAt, provedAt } = session.session;
  return {
    userId: user.id,
    name: user.name,
    email: user.email,
    session: { id, provedAt: provedAt ?? createdAt },
  };
}

export async function createContext(core: Core, headers: Headers): Promise<Context> {
  return { core, actor: await actorOf(core, headers), sender: senderOf(headers) };
}

/**
 * Refuses a request that another site made the browser send. Browsers say where a request comes from
 * (`Sec-Fetch-Site`, and `Origin` in those that do not); programs that say neither carry no cookie of a person.
 */
export function assertSameSite(headers: Headers): void {
  const site = headers.get("sec-fetch-site");
  if (site !== null && site !== "same-origin" && site !== "none") {
    throw new AppError("not-allowed", "This request came from another site and was not carried out.");
  }
  const origin = headers.get("origin");
  const host = headers.get("x-forwarded-host") ?? headers.get("host");
  if (origin !== null && host !== null && !(URL.canParse(origin) && new URL(origin).host === host)) {
    throw new AppError("not-allowed", "This request came from another site and was not carried out.");
  }
}
