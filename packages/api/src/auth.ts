import { createHash, randomBytes } from "node:crypto";
import type { PrismaClient } from "@acral/db";
import { betterAuth } from "better-auth";
import { prismaAdapter } from "better-auth/adapters/prisma";
import { APIError, createAuthMiddleware, getSessionFromCtx } from "better-auth/api";
import { z } from "zod";
import { passwordComplaint } from "./account/policy";
import { AppError } from "./app-error";
import { senderOf } from "./sender";
import { type SignInThrottle, type Throttled, waitInWords } from "./sign-in-throttle";

export const passwordLength = { least: 12, most: 128 } as const;

const withEmail = z.object({ email: z.string().max(1000) });
const withNewPassword = z.object({ newPassword: z.string().max(passwordLength.most) });

/** The cookie of a device that signed in before: whose account, by a hash, and a random part. Signed, and read by no script. */
const knownDevice = { name: "known_device", maxAgeS: 180 * 24 * 3600 } as const;

const hashOfEmail = (email: string) =>
  createHash("sha256").update(`device of:${email.trim().toLowerCase()}`).digest("hex");

export interface AuthOptions {
  readonly prisma: PrismaClient;
  readonly secret: string;
  /** The address that people type. */
  readonly address: string;
  readonly port: number;
  readonly now: () => Date;
  readonly throttle: SignInThrottle;
  /** Whether somebody whose password was right may have a session, by the code of the second factor if there is one. */
  readonly admit: (userId: string, code: string | null) => Promise<"admitted" | "code needed" | "code wrong">;
}

type AuthHookContext = Parameters<Parameters<typeof createAuthMiddleware>[0]>[0];

/** What a try to sign in is counted under: a known device of the account on its own, anybody else by the account. */
async function countedUnder(context: AuthHookContext, email: string): Promise<Throttled> {
  const { name } = context.context.createAuthCookie(knownDevice.name);
  const device = await context.getSignedCookie(name, context.context.secret);
  return typeof device === "string" && device.startsWith(`${hashOfEmail(email)}.`)
    ? { kind: "device", what: device }
    : { kind: "account", what: email };
}

async function refuseTooMany(throttle: SignInThrottle, throttled: Throttled): Promise<void> {
  const waitS = await throttle.begin(throttled);
  if (waitS === null) return;
  throw new APIError(
    "TOO_MANY_REQUESTS",
    { code: "TOO_MANY_ATTEMPTS", message: waitInWords(waitS) },
    { "Retry-After": String(waitS) },
  );
}

/** The header by which the code of a second factor comes along with the password. */
const codeHeader = "acral-second-factor";

/**
 * Asked before any session is made, by whatever way: no half-finished sign-in is kept anywhere that somebody could steal. A
 * session that only takes the place of another (the password was changed in it) has shown its code before.
 */
async function requireSecondFactor(
  options: AuthOptions,
  userId: string,
  context: { readonly path?: string; readonly headers?: Headers | undefined } | null,
): Promise<void> {
  if (context?.path === "/change-password") return;
  const code = context?.headers?.get(codeHeader)?.slice(0, 60) ?? null;
  const answer = await options.admit(userId, code).catch((error: unknown) => {
    if (!(error instanceof AppError)) throw error;
    throw new APIError("TOO_MANY_REQUESTS", { code: "TOO_MANY_ATTEMPTS", message: error.message });
  });
  switch (answer) {
    case "admitted":
      return;
    case "code needed":
      throw new APIError("UNAUTHORIZED", {
        code: "SECOND_FACTOR_NEEDED",
        message: "The password is right. This account also asks for a code.",
      });
    case "code wrong":
      throw new APIError("UNAUTHORIZED", {
        code: "SECOND_FACTOR_WRONG",
        message:
          "This code is not right, or was used already. Take the one that the authenticator shows now, or a recovery code that was not used.",
      });
  }
}

/** The server's own address; on one machine alone also the other names of that machine. */
function trustedOrigins(address: string, port: number): string[] {
  const { origin, hostname } = new URL(address);
  const local = ["localhost", "127.0.0.1", "[::1]"];
  return local.includes(hostname) ? [origin, ...local.map((name) => `http://${name}:${port}`)] : [origin];
}

/**
 * Signing in with e-mail and password; sessions stand in the database. Nobody can sign up on their own: the first
 * account needs the terminal's one-time code, every other one an invitation (account/service).
 */
export function createAuth(options: AuthOptions) {
  const { throttle } = options;
  return betterAuth({
    appName: "Acral",
    baseURL: options.address,
    basePath: "/api/auth",
    secret: options.secret,
    trustedOrigins: trustedOrigins(options.address, options.port),
    database: prismaAdapter(options.prisma, { provider: "postgresql", transaction: true }),
    emailAndPassword: {
      enabled: true,
      disableSignUp: true,
      minPasswordLength: passwordLength.least,
      maxPasswordLength: passwordLength.most,
    },
    // What the product does not use is not reachable.
    disabledPaths: [
      "/sign-up/email",
      "/sign-in/social",
      "/link-social",
      "/unlink-account",
      "/callback/:id",
      "/change-email",
      "/delete-user",
      "/delete-user/callback",
      "/request-password-reset",
      "/reset-password",
      "/reset-password/:token",
      "/send-verification-email",
      "/verify-email",
      "/get-access-token",
      "/refresh-token",
      "/account-info",
      "/update-user",
      "/update-session",
      // They answer with the tokens of sessions; session/service lists and ends them without.
      "/list-sessions",
      "/revoke-session",
      "/revoke-sessions",
      "/revoke-other-sessions",
      "/verify-password",
    ],
    session: {
      expiresIn: 60 * 60 * 12,
      updateAge: 60 * 60,
      additionalFields: { provedAt: { type: "date", required: false, input: false } },
    },
    rateLimit: {
      enabled: true,
      window: 10,
      max: 200,
      // The library's own rule counts three sign-ins in ten seconds from one address, which is an office at nine o'clock; the
      // throttle in the database is what stops guessing.
      customRules: { "/sign-in/email": { window: 60, max: 120 } },
    },
    advanced: { cookiePrefix: "acral" },
    databaseHooks: {
      session: {
        create: { before: async ({ userId }, context) => requireSecondFactor(options, userId, context) },
      },
    },
    hooks: {
      before: createAuthMiddleware(async (context) => {
        if (context.path === "/sign-in/email") {
          const body = withEmail.safeParse(context.body);
          if (!body.success) return;
          const sender = senderOf(context.headers);
          if (sender !== "") await refuseTooMany(throttle, { kind: "address", what: sender });
          await refuseTooMany(throttle, await countedUnder(context, body.data.email));
        }
        if (context.path === "/change-password") {
          const person = (await getSessionFromCtx(context))?.user;
          if (person === undefined) return;
          const body = withNewPassword.safeParse(context.body);
          const complaint = body.success
            ? passwordComplaint(body.data.newPassword, [person.name, person.email])
            : null;
          if (complaint !== null) {
            throw new APIError("BAD_REQUEST", { code: "PASSWORD_TOO_EASY", message: complaint });
          }
          await refuseTooMany(throttle, { kind: "again", what: person.id });
        }
      }),
      after: createAuthMiddleware(async (context) => {
        const signedIn = context.context.newSession?.user;
        if (context.path === "/sign-in/email" && signedIn !== undefined) {
          await throttle.succeed(await countedUnder(context, signedIn.email));
          const sender = senderOf(context.headers);
          if (sender !== "") await throttle.giveBack({ kind: "address", what: sender });
          const { name, attributes } = context.context.createAuthCookie(knownDevice.name, {
            maxAge: knownDevice.maxAgeS,
          });
          const device = `${hashOfEmail(signedIn.email)}.${randomBytes(16).toString("base64url")}`;
          await context.setSignedCookie(name, device, context.context.secret, attributes);
        }
        // Changing a password happens outside every study; it leaves its entry all the same.
        if (context.path !== "/change-password") return;
        const user = signedIn ?? context.context.session?.user;
        if (user === undefined || context.context.returned instanceof Error) return;
        await throttle.succeed({ kind: "again", what: user.id });
        await options.prisma.auditEntry.create({
          data: {
            actorId: user.id,
            actorName: user.name,
            action: "account.changePassword",
            subjectKind: "account",
            subjectId: user.id,
            subjectLabel: user.name,
          },
        });
      }),
    },
    telemetry: { enabled: false },
    logger: {
      level: "error",
      // Whatever comes beside a message may be a person's address: logs never hold it.
      log: (level, message) => console.error(`sign-in, ${level}: ${message}`),
    },
  });
}

export type Auth = ReturnType<typeof createAuth>;
