import { router, studyProcedure } from "../trpc";
import { eraseInput, erasureInput } from "./schema";
import { eraseByStaff, erasureOf } from "./service";

export const erasureRouter = router({
  ofVolunteer: studyProcedure
    .input(erasureInput)
    .query(({ ctx, input }) => erasureOf(ctx.scope, input.volunteerId)),
  erase: studyProcedure.input(eraseInput).mutation(({ ctx, input }) => eraseByStaff(ctx.scope, input)),
});
