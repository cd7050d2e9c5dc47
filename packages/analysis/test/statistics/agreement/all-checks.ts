import type { AgreementCheck } from "./agreement-check";
import { tTestChecks } from "./t-tests";

export const allChecks: readonly AgreementCheck[] = [...tTestChecks];
