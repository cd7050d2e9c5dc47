import { router, studyProcedure } from "../trpc";
import { assessReleaseInput, makeReleaseInput } from "./schema";
import { assessRelease, listReleases, makeRelease } from "./service";

export const releaseRouter = router({
  list: studyProcedure.query(({ ctx }) => listReleases(ctx.scope)),
  // A mutation, although it stores nothing: it reads identities to look for them, which leaves an audit entry.
  assess: studyProcedure
    .input(assessReleaseInput)
    .mutation(({ ctx, input }) => assessRelease(ctx.scope, input)),
  make: studyProcedure.input(makeReleaseInput).mutation(({ ctx, input }) => makeRelease(ctx.scope, input)),
});
