import { formAtRevisionInput, formInput, saveFormInput } from "../consent-form/schema";
import {
  discardForm,
  getForm,
  listForms,
  putFormInForce,
  saveForm,
  startForm,
} from "../consent-form/service";
import { countersignInput, recordConsentInput, withdrawInput } from "../consent-record/schema";
import { countersign, recordConsent, withdrawConsent } from "../consent-record/service";
import { router, studyProcedure } from "../trpc";
import { consentOfVolunteerInput } from "./schema";
import { consentOfVolunteer } from "./service";

export const consentRouter = router({
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
    .mutation(({ ctx, input }) => withdrawConsent(ctx.scope, input)),
});
