import { volunteersToAskAgain } from "../consent-again/service";
import { formAtRevisionInput, formInput, saveFormInput } from "../consent-form/schema";
import {
  discardForm,
  getForm,
  listForms,
  putFormInForce,
  saveForm,
  startForm,
} from "../consent-form/service";
import { countersignInput, recordConsentInput } from "../consent-record/schema";
import { countersign, recordConsent } from "../consent-record/service";
import { router, studyProcedure } from "../trpc";
import { withdrawInput } from "../withdrawal/schema";
import { withdrawByStaff } from "../withdrawal/service";
import { consentOfVolunteerInput } from "./schema";
import { consentOfVolunteer } from "./service";

export const consentRouter = router({
  askAgain: studyProcedure.query(({ ctx }) => volunteersToAskAgain(ctx.scope)),
  forms: studyProcedure.query(({ ctx }) => listForms(ctx.scope)),
  form: studyProcedure.input(formInput).query(({ ctx, input }) => getForm(ctx.scope, input.formId)),
  startForm: studyProcedure.mutation(({ ctx }) => startForm(ctx.scope)),
  saveForm: studyProcedure.input(saveFormInput).mutation(({ ctx, input }) => saveForm(ctx.scope, input)),
  discardForm: studyProcedure
    .input(formAtRevisionInput)
    .mutation(({ ctx, input }) => discardForm(ctx.scope, input)),
  putFormInForce: studyProcedure
    .input(formAtRevisionInput)
    .mutation(({ ctx, input }) => putFormInForce(ctx.scope, input)),
  ofVolunteer: studyProcedure
    .input(consentOfVolunteerInput)
    .query(({ ctx, input }) => consentOfVolunteer(ctx.scope, input.volunteerId)),
  record: studyProcedure
    .input(recordConsentInput)
    .mutation(({ ctx, input }) => recordConsent(ctx.scope, input)),
  countersign: studyProcedure
    .input(countersignInput)
    .mutation(({ ctx, input }) => countersign(ctx.scope, input)),
  withdraw: studyProcedure
    .input(withdrawInput)
    .mutation(({ ctx, input }) => withdrawByStaff(ctx.scope, input)),
});
