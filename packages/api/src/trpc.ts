import { initTRPC, TRPCError } from "@trpc/server";
import { z } from "zod";
import { isStudyAction } from "./access/policy";
import { type Actor, enterStudy } from "./access/service";
import { AppError, type AppErrorCode } from "./app-error";
import type { Core } from "./core";
import type { ReadScope } from "./scope";

export interface Context {
  readonly core: Core;
  readonly actor: Actor | null;
  /** Where the request came from, as far as the server that took it says so; only to slow down whoever tries links. */
  readonly sender?: string;
}

/** What the browser is told of an error. */
export interface ErrorForBrowser {
  readonly appCode: AppErrorCode | "invalid-input" | "failure";
  readonly field: string | null;
  readonly details: Readonly<Record<string, unknown>>;
  /** Message per field, for inputs that the schema refuses. */
  readonly fields: Readonly<Record<string, string>>;
}

/** Sentences of the schemas say themselves what they are about; what zod says by default needs the place. */
const byDefault = /^(Invalid|Too (small|big)|Unrecognized|Expected)\b/;

function sentencesOf(issues: readonly z.core.$ZodIssue[]): string {
  const sentences = issues.map(({ message, path }) =>
    byDefault.test(message) && path.length > 0 ? `${path.join(" › ")}: ${message}` : message,
  );
  return sentences.length === 0 ? "The input is not valid." : [...new Set(sentences)].join(" ");
}

function forBrowser(error: TRPCError): { message: string; data: ErrorForBrowser } {
  const cause = error.cause;
  if (cause instanceof AppError) {
    return {
      message: cause.message,
      data: { appCode: cause.code, field: cause.field, details: cause.details, fields: {} },
    };
  }
  if (cause instanceof z.ZodError) {
    const fields = Object.fromEntries(cause.issues.map((issue) => [issue.path.join("."), issue.message]));
    const first = cause.issues[0];
    return {
      message: sentencesOf(cause.issues),
      data: { appCode: "invalid-input", field: first?.path.join(".") ?? null, details: {}, fields },
    };
  }
  return {
    message:
      error.code === "INTERNAL_SERVER_ERROR"
        ? "Something failed on the server. Nothing that you entered was changed there; try again, and tell the person who runs this server if it stays."
        : error.message,
    data: { appCode: "failure", field: null, details: {}, fields: {} },
  };
}

const trpcCodeOf = {
  "sign-in-needed": "UNAUTHORIZED",
  "password-again": "FORBIDDEN",
  "not-allowed": "FORBIDDEN",
  "not-found": "NOT_FOUND",
  invalid: "BAD_REQUEST",
  exists: "CONFLICT",
  "changed-meanwhile": "CONFLICT",
  "wrong-state": "CONFLICT",
  "consent-missing": "FORBIDDEN",
  "screening-missing": "FORBIDDEN",
  "too-large": "PAYLOAD_TOO_LARGE",
  "file-refused": "UNPROCESSABLE_CONTENT",
  "release-refused": "UNPROCESSABLE_CONTENT",
} as const satisfies Record<AppErrorCode, TRPCError["code"]>;

const t = initTRPC.context<Context>().create({
  errorFormatter({ shape, error }) {
    const { message, data } = forBrowser(error);
    // The stack stays on the server: it may hold values.
    return { ...shape, message, data: { code: shape.data.code, httpStatus: shape.data.httpStatus, ...data } };
  },
});

/** Gives the product's own errors their transport code, once, for every procedure. */
const translateErrors = t.middleware(async ({ next }) => {
  const result = await next();
  if (!result.ok && result.error.cause instanceof AppError) {
    const cause = result.error.cause;
    throw new TRPCError({ code: trpcCodeOf[cause.code], message: cause.message, cause });
  }
  return result;
});

export const router = t.router;
export const createCallerFactory = t.createCallerFactory;

/** Anybody, signed in or not. */
export const publicProcedure = t.procedure.use(translateErrors);

/** Anybody who is signed in. */
export const signedInProcedure = publicProcedure.use(({ ctx, next }) => {
  if (ctx.actor === null) {
    throw new AppError("sign-in-needed", "Sign in first. What you entered is kept on this page.");
  }
  return next({ ctx: { ...ctx, actor: ctx.actor } });
});

/**
 * Whoever has a role in the study that the role table allows this procedure. The study is checked before the rest of
 * the input, so that nobody learns from a message what another study holds.
 */
export const studyProcedure = signedInProcedure
  .input(z.object({ studyId: z.string().min(1).max(64) }))
  .use(async ({ ctx, input, path, next }) => {
    if (!isStudyAction(path)) throw new Error(`The role table has no line for ${path}.`);
    const now = ctx.core.now();
    const access = await enterStudy(ctx.core.database.prisma, ctx.actor, input.studyId, path, now);
    const scope: ReadScope = { db: ctx.core.database.prisma, access, core: ctx.core, now };
    return next({ ctx: { ...ctx, scope } });
  });
