import { AnalysisError } from "../../src/analysis-error";

/** What a refused call says: code and argument; fails unless it is an AnalysisError. */
export function refusal(call: () => unknown): string {
  try {
    call();
  } catch (error) {
    if (error instanceof AnalysisError) return `${error.code}: ${error.argument}`;
    throw error;
  }
  return "none";
}
