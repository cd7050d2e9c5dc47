import { router, studyProcedure } from "../trpc";
import { methodsInput } from "./schema";
import { methodsOfStudy } from "./service";

export const methodsRouter = router({
  get: studyProcedure.input(methodsInput).query(({ ctx, input }) => methodsOfStudy(ctx.scope, input)),
});
