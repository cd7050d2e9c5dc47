import { router, studyProcedure } from "../trpc";
import {
  addBodyMeasuresInput,
  registerVolunteerInput,
  removeBodyMeasuresInput,
  updateVolunteerInput,
  volunteerInput,
  volunteerListInput,
} from "./schema";
import {
  addBodyMeasures,
  getVolunteer,
  listVolunteers,
  registerVolunteer,
  removeBodyMeasures,
  updateVolunteer,
} from "./service";

export const volunteerRouter = router({
  list: studyProcedure.input(volunteerListInput).query(({ ctx, input }) => listVolunteers(ctx.scope, input)),
  get: studyProcedure
    .input(volunteerInput)
    .query(({ ctx, input }) => getVolunteer(ctx.scope, input.volunteerId)),
  register: studyProcedure
    .input(registerVolunteerInput)
    .mutation(({ ctx, input }) => registerVolunteer(ctx.scope, input)),
  update: studyProcedure
    .input(updateVolunteerInput)
    .mutation(({ ctx, input }) => updateVolunteer(ctx.scope, input)),
  addBodyMeasures: studyProcedure
    .input(addBodyMeasuresInput)
    .mutation(({ ctx, input }) => addBodyMeasures(ctx.scope, input)),
  removeBodyMeasures: studyProcedure
    .input(removeBodyMeasuresInput)
    .mutation(({ ctx, input }) => removeBodyMeasures(ctx.scope, input)),
});
