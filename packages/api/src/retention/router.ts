import { router, studyProcedure } from "../trpc";
import { removeDueInput, savePlanInput } from "./schema";
import { dueInStudy, removeDue, saveRetentionPlan } from "./service";

export const retentionRouter = router({
  due: studyProcedure.query(({ ctx }) => dueInStudy(ctx.scope)),
  savePlan: studyProcedure
    .input(savePlanInput)
    .mutation(({ ctx, input }) => saveRetentionPlan(ctx.scope, input)),
  remove: studyProcedure.input(removeDueInput).mutation(({ ctx, input }) => removeDue(ctx.scope, input)),
});
