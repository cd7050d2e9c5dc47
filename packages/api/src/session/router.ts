import { router, signedInProcedure } from "../trpc";
import { endSessionInput, provePasswordInput } from "./schema";
import { endOtherSessions, endSession, listSessions, provePassword, requireProof } from "./service";

/** The sessions of whoever asks, and of nobody else. */
export const sessionRouter = router({
  list: signedInProcedure.query(({ ctx }) => listSessions(ctx.core, ctx.actor)),
  end: signedInProcedure
    .input(endSessionInput)
    .mutation(({ ctx, input }) => endSession(ctx.core, ctx.actor, input.sessionId)),
  endOthers: signedInProcedure.mutation(({ ctx }) => endOtherSessions(ctx.core, ctx.actor)),
  prove: signedInProcedure
    .input(provePasswordInput)
    .mutation(({ ctx, input }) => provePassword(ctx.core, ctx.actor, input.password)),
  /** For what is no call of this API, such as a download: refused when the password would be asked for. */
  requireProof: signedInProcedure.query(({ ctx }) => requireProof(ctx.core, ctx.actor)),
});
