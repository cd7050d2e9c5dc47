import { accountRouter } from "./account/router";
import { auditRouter } from "./audit/router";
import { columnMapRouter } from "./column-map/router";
import { comparisonRouter } from "./comparison/router";
import { consentRouter } from "./consent/router";
import { erasureRouter } from "./erasure/router";
import { forYouRouter } from "./for-you/router";
import { identityRouter } from "./identity/router";
import { imagingRouter } from "./imaging/router";
import { invitationTextRouter } from "./invitation-text/router";
import { methodsRouter } from "./methods/router";
import { preferenceRouter } from "./preference/router";
import { protocolRouter } from "./protocol/router";
import { qualityRouter } from "./quality/router";
import { releaseRouter } from "./release/router";
import { retentionRouter } from "./retention/router";
import { screeningRouter } from "./screening/router";
import { secondFactorRouter } from "./second-factor/router";
import { sessionRouter } from "./session/router";
import { sourceFileRouter } from "./source-file/router";
import { studyRouter } from "./study/router";
import { teamRouter } from "./team/router";
import { trialRouter } from "./trial/router";
import { createCallerFactory, router } from "./trpc";
import { volunteerRouter } from "./volunteer/router";
import { volunteerLinkRouter } from "./volunteer-link/router";

export const appRouter = router({
  account: accountRouter,
  session: sessionRouter,
  secondFactor: secondFactorRouter,
  study: studyRouter,
  team: teamRouter,
  protocol: protocolRouter,
  volunteer: volunteerRouter,
  identity: identityRouter,
  erasure: erasureRouter,
  retention: retentionRouter,
  consent: consentRouter,
  invitationText: invitationTextRouter,
  preference: preferenceRouter,
  screening: screeningRouter,
  volunteerLink: volunteerLinkRouter,
  forYou: forYouRouter,
  trial: trialRouter,
  imaging: imagingRouter,
  sourceFile: sourceFileRouter,
  columnMap: columnMapRouter,
  quality: qualityRouter,
  comparison: comparisonRouter,
  methods: methodsRouter,
  release: releaseRouter,
  audit: auditRouter,
});

export type AppRouter = typeof appRouter;
export const createCaller = createCallerFactory(appRouter);
