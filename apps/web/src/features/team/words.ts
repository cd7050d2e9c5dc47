import { roleNames } from "@acral/api/access";
import type { Role } from "@/features/study/study-context";

export const roles = Object.keys(roleNames) as Role[];

/** What each role may do, in one line. */
export const roleDuties: Readonly<Record<Role, string>> = {
  lead_investigator: "everything: protocol, consent forms, team, releases",
  operator: "registers volunteers, sees identities, records consents, runs trials, uploads files",
  analyst: "checks and accepts trials, makes comparisons; sees no identity",
  observer: "reads everything but identities and source files",
};

export const roleChoices = roles.map((value) => ({ value, label: roleNames[value] }));
