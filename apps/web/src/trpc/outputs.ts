import type { AppRouter } from "@acral/api";
import type { inferRouterInputs, inferRouterOutputs } from "@trpc/server";

/** What the API answers, by noun and verb: `Outputs["protocol"]["get"]`. */
export type Outputs = inferRouterOutputs<AppRouter>;
/** What the API takes. */
export type Inputs = inferRouterInputs<AppRouter>;
