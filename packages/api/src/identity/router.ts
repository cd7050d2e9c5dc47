import { router, studyProcedure } from "../trpc";
import { findIdentityInput, revealIdentityInput, saveIdentityInput } from "./schema";
import { findByIdentity, revealIdentity, saveIdentity } from "./service";

export const identityRouter = router({
  // A mutation, although it reads: every reading writes an audit entry and must never be cached or repeated.
  reveal: studyProcedure
    .input(revealIdentityInput)
    .mutation(({ ctx, input }) => revealIdentity(ctx.scope, input)),
  // A mutation for the same reason, and so that the text stands in no address.
  find: studyProcedure
    .input(findIdentityInput)
    .mutation(({ ctx, input }) => findByIdentity(ctx.scope, input)),
  save: studyProcedure.input(saveIdentityInput).mutation(({ ctx, input }) => saveIdentity(ctx.scope, input)),
});
