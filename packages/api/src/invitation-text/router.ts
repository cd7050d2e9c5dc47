import { router, studyProcedure } from "../trpc";
import { saveInvitationInput } from "./schema";
import { getInvitation, saveInvitation } from "./service";

export const invitationTextRouter = router({
  get: studyProcedure.query(({ ctx }) => getInvitation(ctx.scope)),
  save: studyProcedure
    .input(saveInvitationInput)
    .mutation(({ ctx, input }) => saveInvitation(ctx.scope, input)),
});
