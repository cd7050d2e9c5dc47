import type { Role } from "@acral/db";

/** How long an invitation link can be used. */
export const invitationDays = 7;

/** A study always keeps a lead investigator: nobody else could ever give that role again. */
export function leavesNoLead(
  members: readonly { userId: string; role: Role }[],
  userId: string,
  next: Role | null,
): boolean {
  const after = members.flatMap((member) => {
    if (member.userId !== userId) return [member.role];
    return next === null ? [] : [next];
  });
  return !after.includes("lead_investigator");
}
