import { router, studyProcedure } from "../trpc";
import { changeRoleInput, inviteInput, removeMemberInput, revokeInvitationInput } from "./schema";
import { changeRole, inviteToTeam, listTeam, removeMember, revokeInvitation } from "./service";

export const teamRouter = router({
  list: studyProcedure.query(({ ctx }) => listTeam(ctx.scope)),
  invite: studyProcedure.input(inviteInput).mutation(({ ctx, input }) => inviteToTeam(ctx.scope, input)),
  revokeInvitation: studyProcedure
    .input(revokeInvitationInput)
    .mutation(({ ctx, input }) => revokeInvitation(ctx.scope, input)),
  changeRole: studyProcedure
    .input(changeRoleInput)
    .mutation(({ ctx, input }) => changeRole(ctx.scope, input)),
  remove: studyProcedure
    .input(removeMemberInput)
    .mutation(({ ctx, input }) => removeMember(ctx.scope, input)),
});
