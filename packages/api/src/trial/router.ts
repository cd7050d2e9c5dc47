import { saveMarkersInput } from "../marker/schema";
import { saveMarkers } from "../marker/service";
import { measuresOfTrial } from "../measure/service";
import { courseOfTrial } from "../trace/service";
import { acceptTrial, markTrialChecked, reopenTrial, setTrialAside } from "../trial-state/service";
import { router, studyProcedure } from "../trpc";
import {
  courseInput,
  planTrialInput,
  reopenInput,
  saveRoomInput,
  setAsideInput,
  stepInput,
  trialInput,
  trialListInput,
} from "./schema";
import { discardTrial, getTrial, listTrials, planTrial, saveRoom } from "./service";

export const trialRouter = router({
  list: studyProcedure.input(trialListInput).query(({ ctx, input }) => listTrials(ctx.scope, input)),
  get: studyProcedure.input(trialInput).query(({ ctx, input }) => getTrial(ctx.scope, input.trialId)),
  plan: studyProcedure.input(planTrialInput).mutation(({ ctx, input }) => planTrial(ctx.scope, input)),
  saveRoom: studyProcedure.input(saveRoomInput).mutation(({ ctx, input }) => saveRoom(ctx.scope, input)),
  saveMarkers: studyProcedure
    .input(saveMarkersInput)
    .mutation(({ ctx, input }) => saveMarkers(ctx.scope, input)),
  discard: studyProcedure.input(stepInput).mutation(({ ctx, input }) => discardTrial(ctx.scope, input)),
  course: studyProcedure.input(courseInput).query(({ ctx, input }) => courseOfTrial(ctx.scope, input)),
  measures: studyProcedure
    .input(trialInput)
    .query(({ ctx, input }) => measuresOfTrial(ctx.scope, input.trialId)),
  markChecked: studyProcedure
    .input(stepInput)
    .mutation(({ ctx, input }) => markTrialChecked(ctx.scope, input)),
  accept: studyProcedure.input(stepInput).mutation(({ ctx, input }) => acceptTrial(ctx.scope, input)),
  setAside: studyProcedure.input(setAsideInput).mutation(({ ctx, input }) => setTrialAside(ctx.scope, input)),
  reopen: studyProcedure.input(reopenInput).mutation(({ ctx, input }) => reopenTrial(ctx.scope, input)),
});
