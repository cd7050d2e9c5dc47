import { previewInput, proposalInput, readInput } from "../column-map/schema";
import { previewColumnMap, proposeColumnMap, readFile } from "../column-map/service";
import { estimateInput, setOffsetInput, takeBackOffsetInput } from "../file-offset/schema";
import { clockOf, estimateFileOffset, setOffset, takeBackOffset } from "../file-offset/service";
import { putBackInput } from "../replacement/schema";
import { putBack } from "../replacement/service";
import { router, studyProcedure } from "../trpc";
import { removeInput, sourceFileInput } from "./schema";
import { provenanceOf, removeSourceFile, rowsNotUsed } from "./service";

export const sourceFileRouter = router({
  proposal: studyProcedure.input(proposalInput).query(({ ctx, input }) => proposeColumnMap(ctx.scope, input)),
  // Changes nothing; a mutation because a column map is too long for an address.
  preview: studyProcedure
    .input(previewInput)
    .mutation(({ ctx, input }) => previewColumnMap(ctx.scope, input)),
  read: studyProcedure.input(readInput).mutation(({ ctx, input }) => readFile(ctx.scope, input)),
  clock: studyProcedure
    .input(sourceFileInput)
    .query(({ ctx, input }) => clockOf(ctx.scope, input.sourceFileId)),
  estimateOffset: studyProcedure
    .input(estimateInput)
    .query(({ ctx, input }) => estimateFileOffset(ctx.scope, input)),
  setOffset: studyProcedure.input(setOffsetInput).mutation(({ ctx, input }) => setOffset(ctx.scope, input)),
  takeBackOffset: studyProcedure
    .input(takeBackOffsetInput)
    .mutation(({ ctx, input }) => takeBackOffset(ctx.scope, input)),
  putBack: studyProcedure.input(putBackInput).mutation(({ ctx, input }) => putBack(ctx.scope, input)),
  remove: studyProcedure.input(removeInput).mutation(({ ctx, input }) => removeSourceFile(ctx.scope, input)),
  rowsNotUsed: studyProcedure
    .input(sourceFileInput)
    .query(({ ctx, input }) => rowsNotUsed(ctx.scope, input.sourceFileId)),
  provenance: studyProcedure
    .input(sourceFileInput)
    .query(({ ctx, input }) => provenanceOf(ctx.scope, input.sourceFileId)),
});
