import "server-only";

/** More than any link and identifier need. */
const mostCharacters = 1000;

/** The JSON of a request that says little; null when it says more, or something else, which is told like any other wrong request. */
export async function smallBody(request: Request): Promise<unknown> {
  if (Number(request.headers.get("content-length") ?? Number.NaN) <= mostCharacters) {
    try {
      return await request.json();
    } catch {
      // Not JSON: told like every other request that does not say what it wants.
    }
  }
  return null;
}
