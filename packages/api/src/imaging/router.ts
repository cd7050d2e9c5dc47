import { router, studyProcedure } from "../trpc";
import { imagingOfTrialInput, saveImagingInput } from "./schema";
import { imagingOfTrial, saveImaging } from "./service";

export const imagingRouter = router({
  ofTrial: studyProcedure
    .input(imagingOfTrialInput)
    .query(({ ctx, input }) => imagingOfTrial(ctx.scope, input.trialId)),
  save: studyProcedure.input(saveImagingInput).mutation(({ ctx, input }) => saveImaging(ctx.scope, input)),
});
