import { readInvitation } from "../invitation-text/service";
import { eraseByLink, withdrawByLink } from "../own-withdrawal/service";
import { statePreferencesInput } from "../preference/schema";
import { statePreferencesByLink } from "../preference/service";
import { publicProcedure, router } from "../trpc";
import { eraseOwnInput, signInput, tokenInput, withdrawOwnInput } from "./schema";
import { readOwn, readToSign, signByLink } from "./service";

/** For volunteers, who have no account: everything goes by a link. */
export const forYouRouter = router({
  // Mutations, although they read: the token then stands in no address, and opening a page by itself asks for nothing.
  read: publicProcedure
    .input(tokenInput)
    .mutation(({ ctx, input }) => readToSign(ctx.core, input, ctx.sender ?? "")),
  sign: publicProcedure
    .input(signInput)
    .mutation(({ ctx, input }) => signByLink(ctx.core, input, ctx.sender ?? "")),
  own: publicProcedure
    .input(tokenInput)
    .mutation(({ ctx, input }) => readOwn(ctx.core, input, ctx.sender ?? "")),
  invitation: publicProcedure
    .input(tokenInput)
    .mutation(({ ctx, input }) => readInvitation(ctx.core, input, ctx.sender ?? "")),
  statePreferences: publicProcedure
    .input(statePreferencesInput)
    .mutation(({ ctx, input }) => statePreferencesByLink(ctx.core, input, ctx.sender ?? "")),
  withdraw: publicProcedure
    .input(withdrawOwnInput)
    .mutation(({ ctx, input }) => withdrawByLink(ctx.core, input, ctx.sender ?? "")),
  erase: publicProcedure
    .input(eraseOwnInput)
    .mutation(({ ctx, input }) => eraseByLink(ctx.core, input, ctx.sender ?? "")),
});
