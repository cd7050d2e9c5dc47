import { z } from "zod";
import { publicProcedure, router, signedInProcedure } from "../trpc";
import { acceptInvitationInput, createFirstAccountInput, invitationToken } from "./schema";
import { acceptInvitation, createFirstAccount, firstAccountIsOpen, readInvitation } from "./service";

export const accountRouter = router({
  me: publicProcedure.query(({ ctx }) => {
    if (ctx.actor === null) return null;
    const { userId, name, email } = ctx.actor;
    return { userId, name, email };
  }),
  firstAccountIsOpen: publicProcedure.query(({ ctx }) => firstAccountIsOpen(ctx.core)),
  createFirst: publicProcedure
    .input(createFirstAccountInput)
    .mutation(({ ctx, input }) => createFirstAccount(ctx.core, input)),
  invitation: publicProcedure
    .input(z.object({ token: invitationToken }))
    .query(({ ctx, input }) => readInvitation(ctx.core, input.token)),
  acceptInvitation: publicProcedure
    .input(acceptInvitationInput)
    .mutation(({ ctx, input }) => acceptInvitation(ctx.core, input)),
  joinStudy: signedInProcedure
    .input(z.object({ token: invitationToken }))
    .mutation(({ ctx, input }) => acceptInvitation(ctx.core, { token: input.token, actor: ctx.actor })),
});
