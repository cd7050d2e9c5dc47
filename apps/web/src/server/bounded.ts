import "server-only";
import { AppError } from "@acral/api";

/** The most that the API takes in one request. Source files have a route of their own, which gathers nothing. */
const mostBytes = 4 * 1024 * 1024;

/** The same request with its body read, or a refusal as soon as it is longer than the API takes. */
export async function bounded(request: Request): Promise<Request> {
  if (request.body === null) return request;
  const reader = request.body.getReader();
  const parts: Uint8Array[] = [];
  let length = 0;
  for (let next = await reader.read(); !next.done; next = await reader.read()) {
    length += next.value.length;
    if (length > mostBytes) {
      await reader.cancel();
      throw new AppError(
        "too-large",
        `This is more than the server takes at once (${mostBytes / 2 ** 20} MB). Nothing was changed; shorten what you entered.`,
      );
    }
    parts.push(next.value);
  }
  const { url, method, headers, signal } = request;
  return new Request(url, { method, headers, signal, body: Buffer.concat(parts) });
}
