import { router, studyProcedure } from "../trpc";
import { auditListInput } from "./schema";
import { listAuditEntries } from "./service";

export const auditRouter = router({
  list: studyProcedure.input(auditListInput).query(({ ctx, input }) => listAuditEntries(ctx.scope, input)),
});
