import type { AppRouter } from "@acral/api";
import type { inferRouterInputs, inferRouterOutputs } from "@trpc/server";

type Outputs = inferRouterOutputs<AppRouter>;

export type Outcomes = Outputs["comparison"]["outcomes"];
export type Answer = Outputs["comparison"]["preview"]["answer"];
export type Settings = inferRouterInputs<AppRouter>["comparison"]["preview"]["settings"];

/** The question that a new comparison begins with: the change of mean skin temperature between the first two conditions. */
export function firstSettings(outcomes: Outcomes): Settings | null {
  const [first, second] = outcomes.conditions;
  if (first === undefined || second === undefined) return null;
  return {
    schema: 1,
    outcome: { measure: "change", regionId: null },
    conditions: [first.key, second.key],
    occasion: "mean over occasions",
    course: "temperature",
    level: 0.95,
  };
}
