import { router, studyProcedure } from "../trpc";
import { linksInput, makeLinkInput, revokeLinkInput } from "./schema";
import { listLinks, makeLink, revokeLink } from "./service";

export const volunteerLinkRouter = router({
  list: studyProcedure.input(linksInput).query(({ ctx, input }) => listLinks(ctx.scope, input)),
  make: studyProcedure.input(makeLinkInput).mutation(({ ctx, input }) => makeLink(ctx.scope, input)),
  revoke: studyProcedure.input(revokeLinkInput).mutation(({ ctx, input }) => revokeLink(ctx.scope, input)),
});
