import { accountRouter } from "./account/router";
import { auditRouter } from "./audit/router";
import { consentRouter } from "./consent/router";
import { identityRouter } from "./identity/router";
import { protocolRouter } from "./protocol/router";
import { studyRouter } from "./study/router";
import { teamRouter } from "./team/router";
import { createCallerFactory, router } from "./trpc";
import { volunteerRouter } from "./volunteer/router";

export const appRouter = router({
  account: accountRouter,
  study: studyRouter,
  team: teamRouter,
  protocol: protocolRouter,
  volunteer: volunteerRouter,
  identity: identityRouter,
  consent: consentRouter,
  audit: auditRouter,
});

export type AppRouter = typeof appRouter;
export const createCaller = createCallerFactory(appRouter);
