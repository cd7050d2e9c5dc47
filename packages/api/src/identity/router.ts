import { router, studyProcedure } from "../trpc";
import { revealIdentityInput, saveIdentityInput } from "./schema";
import { revealIdentity, saveIdentity } from "./service";

export const identityRouter = router({
  // A mutation, although it reads: every reading writes an audit entry and must never be cached or repeated.
  reveal: studyProcedure
    .input(revealIdentityInput)
    .mutation(({ ctx, input }) => revealIdentity(ctx.scope, input)),
  save: studyProcedure.input(saveIdentityInput).mutation(({ ctx, input }) => saveIdentity(ctx.scope, input)),
});
