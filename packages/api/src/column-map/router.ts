import { filesOfMap, listMaps, readAgain, removeMap, renameMap } from "../kept-map/service";
import { router, studyProcedure } from "../trpc";
import { columnMapInput, readAgainInput, removeMapInput, renameInput } from "./schema";

export const columnMapRouter = router({
  list: studyProcedure.query(({ ctx }) => listMaps(ctx.scope)),
  files: studyProcedure.input(columnMapInput).query(({ ctx, input }) => filesOfMap(ctx.scope, input)),
  readAgain: studyProcedure.input(readAgainInput).mutation(({ ctx, input }) => readAgain(ctx.scope, input)),
  rename: studyProcedure.input(renameInput).mutation(({ ctx, input }) => renameMap(ctx.scope, input)),
  remove: studyProcedure.input(removeMapInput).mutation(({ ctx, input }) => removeMap(ctx.scope, input)),
});
