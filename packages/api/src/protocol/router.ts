import { router, studyProcedure } from "../trpc";
import { draftAtRevisionInput, protocolInput, saveDraftInput } from "./schema";
import {
  discardDraft,
  getProtocol,
  listProtocols,
  putProtocolInForce,
  saveDraft,
  startDraft,
} from "./service";

export const protocolRouter = router({
  list: studyProcedure.query(({ ctx }) => listProtocols(ctx.scope)),
  get: studyProcedure
    .input(protocolInput)
    .query(({ ctx, input }) => getProtocol(ctx.scope, input.protocolId)),
  startDraft: studyProcedure.mutation(({ ctx }) => startDraft(ctx.scope)),
  saveDraft: studyProcedure.input(saveDraftInput).mutation(({ ctx, input }) => saveDraft(ctx.scope, input)),
  discardDraft: studyProcedure
    .input(draftAtRevisionInput)
    .mutation(({ ctx, input }) => discardDraft(ctx.scope, input)),
  putInForce: studyProcedure
    .input(draftAtRevisionInput)
    .mutation(({ ctx, input }) => putProtocolInForce(ctx.scope, input)),
});
