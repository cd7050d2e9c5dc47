import { previewInput, proposalInput, readInput } from "../column-map/schema";
import { previewColumnMap, proposeColumnMap, readFile } from "../column-map/service";
import { router, studyProcedure } from "../trpc";
import { removeInput, setOffsetInput, sourceFileInput } from "./schema";
import { provenanceOf, removeSourceFile, setOffset } from "./service";

export const sourceFileRouter = router({
  proposal: studyProcedure.input(proposalInput).query(({ ctx, input }) => proposeColumnMap(ctx.scope, input)),
  // Changes nothing; a mutation because a column map is too long for an address.
  preview: studyProcedure
    .input(previewInput)
    .mutation(({ ctx, input }) => previewColumnMap(ctx.scope, input)),
  read: studyProcedure.input(readInput).mutation(({ ctx, input }) => readFile(ctx.scope, input)),
  setOffset: studyProcedure.input(setOffsetInput).mutation(({ ctx, input }) => setOffset(ctx.scope, input)),
  remove: studyProcedure.input(removeInput).mutation(({ ctx, input }) => removeSourceFile(ctx.scope, input)),
  provenance: studyProcedure
    .input(sourceFileInput)
    .query(({ ctx, input }) => provenanceOf(ctx.scope, input.sourceFileId)),
});
