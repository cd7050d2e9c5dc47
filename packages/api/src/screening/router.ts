import { saveSetInput, setAtRevisionInput } from "../screening-set/schema";
import { discardSet, listSets, putSetInForce, saveSet, startSet } from "../screening-set/service";
import { router, studyProcedure } from "../trpc";
import {
  recordClearanceInput,
  recordScreeningInput,
  screeningOfVolunteerInput,
  showAnswersInput,
} from "./schema";
import { recordClearance, recordScreening, screeningOfVolunteer, showAnswers } from "./service";

export const screeningRouter = router({
  sets: studyProcedure.query(({ ctx }) => listSets(ctx.scope)),
  startSet: studyProcedure.mutation(({ ctx }) => startSet(ctx.scope)),
  saveSet: studyProcedure.input(saveSetInput).mutation(({ ctx, input }) => saveSet(ctx.scope, input)),
  discardSet: studyProcedure
    .input(setAtRevisionInput)
    .mutation(({ ctx, input }) => discardSet(ctx.scope, input)),
  putSetInForce: studyProcedure
    .input(setAtRevisionInput)
    .mutation(({ ctx, input }) => putSetInForce(ctx.scope, input)),
  ofVolunteer: studyProcedure
    .input(screeningOfVolunteerInput)
    .query(({ ctx, input }) => screeningOfVolunteer(ctx.scope, input)),
  record: studyProcedure
    .input(recordScreeningInput)
    .mutation(({ ctx, input }) => recordScreening(ctx.scope, input)),
  recordClearance: studyProcedure
    .input(recordClearanceInput)
    .mutation(({ ctx, input }) => recordClearance(ctx.scope, input)),
  showAnswers: studyProcedure
    .input(showAnswersInput)
    .mutation(({ ctx, input }) => showAnswers(ctx.scope, input)),
});
