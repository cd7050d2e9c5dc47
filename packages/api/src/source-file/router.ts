import { router, studyProcedure } from "../trpc";
import {
  previewInput,
  proposalInput,
  readInput,
  removeInput,
  setOffsetInput,
  sourceFileInput,
} from "./schema";
import {
  previewColumnMap,
  proposeColumnMap,
  provenanceOf,
  readFile,
  removeSourceFile,
  setOffset,
} from "./service";

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
