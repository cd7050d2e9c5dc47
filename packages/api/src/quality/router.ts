import { adjustInput, adjustmentStepInput, previewAdjustmentInput, reorderInput } from "../adjustment/schema";
import { adjustFile, redoAdjustment, reorderAdjustments, undoAdjustment } from "../adjustment/service";
import { previewAdjustment } from "../adjustment-preview/service";
import { clearDecisionInput, decideInput } from "../finding-decision/schema";
import { clearDecision, decideFinding } from "../finding-decision/service";
import { qualityOfStudy } from "../study-quality/service";
import { router, studyProcedure } from "../trpc";
import { qualityOfStudyInput, qualityOfTrialInput } from "./schema";
import { qualityOfTrial, qualitySummary } from "./service";

/** Every moment that these procedures take or give is on the trial's clock, those in settings of adjustments too. */
export const qualityRouter = router({
  ofTrial: studyProcedure
    .input(qualityOfTrialInput)
    .query(({ ctx, input }) => qualityOfTrial(ctx.scope, input.trialId)),
  summary: studyProcedure
    .input(qualityOfTrialInput)
    .query(({ ctx, input }) => qualitySummary(ctx.scope, input.trialId)),
  ofStudy: studyProcedure
    .input(qualityOfStudyInput)
    .query(({ ctx, input }) => qualityOfStudy(ctx.scope, input)),
  decide: studyProcedure.input(decideInput).mutation(({ ctx, input }) => decideFinding(ctx.scope, input)),
  clearDecision: studyProcedure
    .input(clearDecisionInput)
    .mutation(({ ctx, input }) => clearDecision(ctx.scope, input)),
  // Changes nothing; a mutation because the series of a mask are too many for an address.
  preview: studyProcedure
    .input(previewAdjustmentInput)
    .mutation(({ ctx, input }) => previewAdjustment(ctx.scope, input)),
  adjust: studyProcedure.input(adjustInput).mutation(({ ctx, input }) => adjustFile(ctx.scope, input)),
  undo: studyProcedure
    .input(adjustmentStepInput)
    .mutation(({ ctx, input }) => undoAdjustment(ctx.scope, input)),
  redo: studyProcedure
    .input(adjustmentStepInput)
    .mutation(({ ctx, input }) => redoAdjustment(ctx.scope, input)),
  reorder: studyProcedure
    .input(reorderInput)
    .mutation(({ ctx, input }) => reorderAdjustments(ctx.scope, input)),
});
