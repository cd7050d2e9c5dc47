import { Role } from "@acral/db";
import { z } from "zod";
import { emailAddress } from "../account/schema";

export const role = z.enum(Role);
export const inviteInput = z.object({ studyId: z.string(), email: emailAddress, role });
export const revokeInvitationInput = z.object({ studyId: z.string(), invitationId: z.string().max(64) });
export const changeRoleInput = z.object({ studyId: z.string(), userId: z.string().max(64), role });
export const removeMemberInput = z.object({ studyId: z.string(), userId: z.string().max(64) });
