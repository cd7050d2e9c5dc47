import { router, signedInProcedure, studyProcedure } from "../trpc";
import { createStudyInput, requireSecondFactorInput, updateStudyInput } from "./schema";
import {
  createStudy,
  getStudy,
  listStudies,
  overviewOfStudy,
  requireSecondFactor,
  updateStudy,
} from "./service";

export const studyRouter = router({
  list: signedInProcedure.query(({ ctx }) => listStudies(ctx.core, ctx.actor)),
  create: signedInProcedure
    .input(createStudyInput)
    .mutation(({ ctx, input }) => createStudy(ctx.core, ctx.actor, input)),
  get: studyProcedure.query(({ ctx }) => getStudy(ctx.scope)),
  overview: studyProcedure.query(({ ctx }) => overviewOfStudy(ctx.scope)),
  update: studyProcedure.input(updateStudyInput).mutation(({ ctx, input }) => updateStudy(ctx.scope, input)),
  requireSecondFactor: studyProcedure
    .input(requireSecondFactorInput)
    .mutation(({ ctx, input }) => requireSecondFactor(ctx.scope, input.required)),
});
