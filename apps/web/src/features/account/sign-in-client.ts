import { z } from "zod";

/**
 * The three things a browser asks of the sign-in routes. Plain requests: cookies are set by the answer, so these cannot
 * go through the batched API.
 */
const answer = z.object({ code: z.string().optional(), message: z.string().optional() });

/** Null when it worked, otherwise why not: the code of the answer, if it has one, and the reason in plain words. */
type Problem = { readonly code: string | undefined; readonly reason: string } | null;

async function post(
  path: string,
  body: Readonly<Record<string, unknown>>,
  headers: Readonly<Record<string, string>> = {},
): Promise<Problem> {
  let response: Response;
  try {
    response = await fetch(`/api/auth/${path}`, {
      method: "POST",
      headers: { "Content-Type": "application/json", ...headers },
      body: JSON.stringify(body),
    });
  } catch {
    return {
      code: undefined,
      reason:
        "The server did not answer. Check the connection and try again; what you entered is still here.",
    };
  }
  if (response.ok) return null;
  const said = answer.safeParse(await response.json().catch(() => null));
  const told = said.success ? said.data : {};
  return { code: told.code, reason: reasonOf(response.status, told) };
}

function reasonOf(status: number, told: z.output<typeof answer>): string {
  switch (told.code) {
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
      return told.message ?? "This was refused. Try again later, or with another password.";
    default:
      if (status === 429) return "Too many requests in a short time. Wait a minute, then try again.";
      return told.message ?? `The server answered ${status} and did not say why. Try again.`;
  }
}

export type SignInOutcome = "signed in" | "code needed" | { readonly reason: string };

/** @param code of the second factor, once it was asked for */
export async function signIn(email: string, password: string, code?: string): Promise<SignInOutcome> {
  const problem = await post(
    "sign-in/email",
    { email: email.trim(), password },
    code === undefined ? {} : { "acral-second-factor": code.replace(/[^A-Za-z0-9]/g, "") },
  );
  if (problem === null) return "signed in";
  return problem.code === "SECOND_FACTOR_NEEDED" ? "code needed" : { reason: problem.reason };
}

/** Each returns null, or in plain words why it did not work. */
export const signOut = async () => (await post("sign-out", {}))?.reason ?? null;
export const changePassword = async (currentPassword: string, newPassword: string) =>
  (await post("change-password", { currentPassword, newPassword, revokeOtherSessions: true }))?.reason ??
  null;

/** Where to go after signing in: only ever a page of this site. */
export function pathAfterSignIn(then: string | undefined): string {
  const isPath = then?.startsWith("/") && !then.startsWith("//") && !then.includes("\\");
  return isPath && then !== undefined && !then.startsWith("/sign-in") ? then : "/studies";
}
