/**
 * Where a request comes from: the last address that was added on the way here, since whatever stands before it may be invented
 * by the sender. Empty when nothing was added.
 */
export function senderOf(headers: Headers | undefined): string {
  return headers?.get("x-forwarded-for")?.split(",").at(-1)?.trim().slice(0, 64) ?? "";
}
