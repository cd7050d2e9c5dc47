import { TRPCClientError } from "@trpc/client";
import { z } from "zod";

/** An error of the API as screens use it. */
export interface Failure {
  /** For the person at the screen. */
  readonly message: string;
  /** The API's own code ("changed-meanwhile", "invalid", ...); "no connection" when no answer came. */
  readonly code: string;
  readonly field: string | null;
  /** Message per field that the API refused; the key is the path in the input, joined by points. */
  readonly fields: Readonly<Record<string, string>>;
  readonly details: Readonly<Record<string, unknown>>;
}

const shapeData = z.object({
  appCode: z.string(),
  field: z.string().nullable(),
  fields: z.record(z.string(), z.string()),
  details: z.record(z.string(), z.unknown()),
});

/** Reads whatever a query or a mutation threw. */
export function failureOf(error: unknown): Failure {
  if (error instanceof TRPCClientError) {
    const data = shapeData.safeParse(error.data);
    if (data.success) {
      const { appCode, field, fields, details } = data.data;
      return {
        message: error.message,
        code: appCode,
        field,
        fields:
          field !== null && fields[field] === undefined ? { ...fields, [field]: error.message } : fields,
        details,
      };
    }
    return {
      message:
        "The server did not answer. Check the connection and try again; what you entered is still here.",
      code: "no connection",
      field: null,
      fields: {},
      details: {},
    };
  }
  return {
    message: error instanceof Error ? error.message : String(error),
    code: "failure",
    field: null,
    fields: {},
    details: {},
  };
}

/**
 * What stands on the server now, when somebody else saved first; null for every other error. `schema` says which
 * fields the screen compares.
 */
export function changedMeanwhile<T>(error: unknown, schema: z.ZodType<T>): T | null {
  const failure = failureOf(error);
  if (failure.code !== "changed-meanwhile") return null;
  const current = schema.safeParse(failure.details.current);
  return current.success ? current.data : null;
}
