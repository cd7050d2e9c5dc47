import type { BadgeShape } from "@/components/state-badge";
import type { Outputs } from "@/trpc/outputs";

export type Consent = Outputs["consent"]["ofVolunteer"];
export type PermissionState = Consent["permissions"][number];
export type ConsentEvent = Consent["history"][number];
export type ConsentForm = Outputs["consent"]["form"];

interface Sign {
  readonly shape: BadgeShape;
  readonly tone: "neutral" | "accent" | "stop";
  readonly words: string;
}

/** How a permission stands, in words and as a sign. */
export function permissionSign(permission: Pick<PermissionState, "allowed" | "why" | "storedUse">): Sign {
  if (permission.allowed) return { shape: "tick", tone: "accent", words: "permitted" };
  switch (permission.why) {
    case "refused":
      return { shape: "struck", tone: "neutral", words: "refused" };
    case "withdrawn":
      return {
        shape: "struck",
        tone: "stop",
        words: permission.storedUse ? "withdrawn; what is stored may still be used" : "withdrawn",
      };
    case "required refused":
    case "required withdrawn":
      return { shape: "struck", tone: "stop", words: "not in force: a required permission is missing" };
    case "not asked":
      return { shape: "open", tone: "neutral", words: "not asked" };
    case "nothing signed":
    case null:
      return { shape: "open", tone: "neutral", words: "nothing signed" };
  }
}
