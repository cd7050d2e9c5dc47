import { z } from "zod";
import { router, studyProcedure } from "../trpc";
import { auditListInput } from "./schema";
import { auditChoices, listAuditEntries } from "./service";

export const auditRouter = router({
  list: studyProcedure.input(auditListInput).query(({ ctx, input }) => listAuditEntries(ctx.scope, input)),
  choices: studyProcedure
    .input(z.object({ studyId: z.string() }))
    .query(({ ctx }) => auditChoices(ctx.scope)),
});
