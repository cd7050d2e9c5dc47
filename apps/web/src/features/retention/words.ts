import type { Outputs } from "@/trpc/outputs";

export type Plan = Outputs["retention"]["due"]["plan"];
export type Part = keyof Plan["afterEnd"];

export const parts = ["recordings", "identity", "consent records"] as const satisfies readonly Part[];

export const partNames: Readonly<Record<Part, string>> = {
  identity: "identity",
  recordings: "files and recordings",
  "consent records": "consent records",
};
