import { router, studyProcedure } from "../trpc";
import { preferenceInput, savePreferenceInput } from "./schema";
import { preferencesOfVolunteer, savePreferences } from "./service";

export const preferenceRouter = router({
  ofVolunteer: studyProcedure
    .input(preferenceInput)
    .query(({ ctx, input }) => preferencesOfVolunteer(ctx.scope, input)),
  save: studyProcedure
    .input(savePreferenceInput)
    .mutation(({ ctx, input }) => savePreferences(ctx.scope, input)),
});
