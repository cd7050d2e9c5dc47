import { router, signedInProcedure } from "../trpc";
import { secondFactorCodeInput } from "./schema";
import {
  beginSecondFactor,
  confirmSecondFactor,
  removeSecondFactor,
  renewRecoveryCodes,
  secondFactorState,
} from "./service";

/** The second factor of whoever asks, and of nobody else. */
export const secondFactorRouter = router({
  state: signedInProcedure.query(({ ctx }) => secondFactorState(ctx.core, ctx.actor)),
  begin: signedInProcedure.mutation(({ ctx }) => beginSecondFactor(ctx.core, ctx.actor)),
  confirm: signedInProcedure
    .input(secondFactorCodeInput)
    .mutation(({ ctx, input }) => confirmSecondFactor(ctx.core, ctx.actor, input.code)),
  renewRecoveryCodes: signedInProcedure
    .input(secondFactorCodeInput)
    .mutation(({ ctx, input }) => renewRecoveryCodes(ctx.core, ctx.actor, input.code)),
  remove: signedInProcedure
    .input(secondFactorCodeInput)
    .mutation(({ ctx, input }) => removeSecondFactor(ctx.core, ctx.actor, input.code)),
});
