import { publicProcedure, router } from "../trpc";
import { signInput, tokenInput } from "./schema";
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
});
