import { router, studyProcedure } from "../trpc";
import { getComparisonInput, previewInput, saveComparisonInput } from "./schema";
import {
  comparisonOutcomes,
  getComparison,
  listComparisons,
  previewComparison,
  removeComparison,
  saveComparison,
  storeAnswer,
} from "./service";

export const comparisonRouter = router({
  list: studyProcedure.query(({ ctx }) => listComparisons(ctx.scope)),
  get: studyProcedure.input(getComparisonInput).query(({ ctx, input }) => getComparison(ctx.scope, input)),
  outcomes: studyProcedure.query(({ ctx }) => comparisonOutcomes(ctx.scope)),
  preview: studyProcedure
    .input(previewInput)
    .query(({ ctx, input }) => previewComparison(ctx.scope, input.settings)),
  save: studyProcedure
    .input(saveComparisonInput)
    .mutation(({ ctx, input }) => saveComparison(ctx.scope, input)),
  answer: studyProcedure
    .input(getComparisonInput)
    .mutation(({ ctx, input }) => storeAnswer(ctx.scope, input)),
  remove: studyProcedure
    .input(getComparisonInput)
    .mutation(({ ctx, input }) => removeComparison(ctx.scope, input)),
});
