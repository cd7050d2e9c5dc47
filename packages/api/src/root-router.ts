import { accountRouter } from "./account/router";
import { auditRouter } from "./audit/router";
import { studyRouter } from "./study/router";
import { teamRouter } from "./team/router";
import { createCallerFactory, router } from "./trpc";

export const appRouter = router({
  account: accountRouter,
  study: studyRouter,
  team: teamRouter,
  audit: auditRouter,
});

export type AppRouter = typeof appRouter;
export const createCaller = createCallerFactory(appRouter);
