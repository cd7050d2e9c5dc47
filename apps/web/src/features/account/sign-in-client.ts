import { z } from "zod";

/**
 * The three things a browser asks of the sign-in routes. Plain requests: cookies are set by the answer, so these cannot
 * go through the batched API.
 */
const answer = z.object({ code: z.string().optional(), message: z.string().optional() });

async function post(path: string, body: Readonly<Record<string, unknown>>): Promise<string | null> {
  let response: Response;
  try {
    response = await fetch(`/api/auth/${path}`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
    });
  } catch {
    return "The server did not answer. Check the connection and try again; what you entered is still here.";
  }
  if (response.ok) return null;
  const said = answer.safeParse(await response.json().catch(() => null));
  switch (said.success ? said.data.code : undefined) {
    case "INVALID_EMAIL_OR_PASSWORD":
      return "This e-mail address and password do not belong together. Check both; the password is case-sensitive.";
    case "INVALID_EMAIL":
      return "This is not an e-mail address. It looks like name@example.org.";
    case "INVALID_PASSWORD":
      return "The present password is not right.";
    case "PASSWORD_TOO_SHORT":
      return "The new password is too short: it needs at least 12 characters.";
    case "PASSWORD_TOO_LONG":
      return "The new password is too long: it has at most 128 characters.";
    case "TOO_MANY_ATTEMPTS":
    case "PASSWORD_TOO_EASY":
      return said.data?.message ?? "This was refused. Try again later, or with another password.";
    default:
      if (response.status === 429) return "Too many requests in a short time. Wait a minute, then try again.";
      return said.success && said.data.message !== undefined
        ? said.data.message
        : `The server answered ${response.status} and did not say why. Try again.`;
  }
}

/** Each returns null, or in plain words why it did not work. */
export const signIn = (email: string, password: string) =>
  post("sign-in/email", { email: email.trim(), password });
export const signOut = () => post("sign-out", {});
export const changePassword = (currentPassword: string, newPassword: string) =>
  post("change-password", { currentPassword, newPassword, revokeOtherSessions: true });

/** Where to go after signing in: only ever a page of this site. */
export function pathAfterSignIn(then: string | undefined): string {
  const isPath = then?.startsWith("/") && !then.startsWith("//") && !then.includes("\\");
  return isPath && then !== undefined && !then.startsWith("/sign-in") ? then : "/studies";
}
