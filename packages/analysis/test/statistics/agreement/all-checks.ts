import type { AgreementCheck } from "./agreement-check";
import { linearModelChecks } from "./linear-models";
import { powerAndAgreementChecks } from "./power-and-agreement";
import { rankTestChecks } from "./rank-tests";
import { shareAndPValueChecks } from "./shares-and-p-values";
import { tTestChecks } from "./t-tests";

export const allChecks: readonly AgreementCheck[] = [
  ...tTestChecks,
  ...rankTestChecks,
  ...shareAndPValueChecks,
  ...powerAndAgreementChecks,
  ...linearModelChecks,
];
