import type { AgreementCheck } from "./agreement-check";
import { distributionChecks } from "./distributions";
import { linearModelChecks } from "./linear-models";
import { mixedModelChecks } from "./mixed-models";
import { otherFamilyChecks } from "./other-families";
import { powerAndAgreementChecks } from "./power-and-agreement";
import { rankTestChecks } from "./rank-tests";
import { resamplingChecks } from "./resampling";
import { shareAndPValueChecks } from "./shares-and-p-values";
import { tTestChecks } from "./t-tests";

export const allChecks: readonly AgreementCheck[] = [
  ...tTestChecks,
  ...rankTestChecks,
  ...shareAndPValueChecks,
  ...powerAndAgreementChecks,
  ...linearModelChecks,
  ...mixedModelChecks,
  ...resamplingChecks,
  ...distributionChecks,
  ...otherFamilyChecks,
];
