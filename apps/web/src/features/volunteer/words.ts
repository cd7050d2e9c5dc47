import type { BadgeShape } from "@/components/state-badge";
import type { Outputs } from "@/trpc/outputs";

export type Volunteer = Outputs["volunteer"]["get"];
export type VolunteerRow = Outputs["volunteer"]["list"]["rows"][number];
export type Body = Volunteer["bodyMeasures"][number];
export type Sex = Volunteer["sex"];
export type Participation = Volunteer["participation"];

export const sexNames: Readonly<Record<Sex, string>> = {
  female: "female",
  male: "male",
  other: "other",
  not_stated: "not stated",
};
export const sexes = Object.keys(sexNames) as Sex[];

interface Sign {
  readonly shape: BadgeShape;
  readonly tone: "neutral" | "accent" | "stop";
  readonly words: string;
}

/** Whether a volunteer takes part, in words and as a sign. */
export const participationSigns: Readonly<Record<Participation, Sign>> = {
  permitted: { shape: "tick", tone: "accent", words: "permitted" },
  "nothing signed": { shape: "open", tone: "neutral", words: "nothing signed" },
  refused: { shape: "struck", tone: "neutral", words: "refused" },
  withdrawn: { shape: "struck", tone: "stop", words: "withdrawn" },
};
export const participations = Object.keys(participationSigns) as Participation[];

export const trialStates: Readonly<Record<Volunteer["trials"][number]["state"], string>> = {
  planned: "planned",
  recorded: "recorded",
  checked: "checked",
  accepted: "accepted",
  set_aside: "set aside",
};

export const skinfoldNames = {
  triceps: "triceps",
  biceps: "biceps",
  subscapular: "subscapular",
  suprailiac: "suprailiac",
  chest: "chest",
  midaxillary: "midaxillary",
  abdomen: "abdomen",
  thigh: "thigh",
} as const;
export type SkinfoldSite = keyof typeof skinfoldNames;
export const skinfoldSites = Object.keys(skinfoldNames) as SkinfoldSite[];
