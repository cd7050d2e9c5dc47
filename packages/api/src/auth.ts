import type { PrismaClient } from "@acral/db";
import { betterAuth } from "better-auth";
import { prismaAdapter } from "better-auth/adapters/prisma";
import { APIError, createAuthMiddleware } from "better-auth/api";
import { z } from "zod";
import { signInAttempts } from "./sign-in-attempts";

export const passwordLength = { least: 12, most: 128 } as const;

const withEmail = z.object({ email: z.string() });

export interface AuthOptions {
  readonly prisma: PrismaClient;
  readonly secret: string;
  /** The address that people type. */
  readonly address: string;
  readonly port: number;
  readonly now: () => Date;
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
  const attempts = signInAttempts(() => options.now().getTime());
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
    ],
    session: { expiresIn: 60 * 60 * 12, updateAge: 60 * 60 },
    rateLimit: {
      enabled: true,
      window: 10,
      max: 200,
      customRules: { "/sign-in/email": { window: 60, max: 20 } },
    },
    advanced: { cookiePrefix: "acral" },
    hooks: {
      before: createAuthMiddleware(async (context) => {
        const body = context.path === "/sign-in/email" ? withEmail.safeParse(context.body) : null;
        if (body?.success && !attempts.begin(body.data.email)) {
          throw new APIError("TOO_MANY_REQUESTS", {
            message: "Too many attempts for this account. Wait a quarter of an hour, then try again.",
          });
        }
      }),
      after: createAuthMiddleware(async (context) => {
        const signedIn = context.context.newSession?.user;
        if (context.path === "/sign-in/email" && signedIn !== undefined) attempts.succeed(signedIn.email);
        // Changing a password happens outside every study; it leaves its entry all the same.
        if (context.path !== "/change-password") return;
        const user = signedIn ?? context.context.session?.user;
        if (user === undefined) return;
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
