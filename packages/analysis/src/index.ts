export { AnalysisError, type AnalysisErrorCode } from "./analysis-error";
export { analysisVersion } from "./version";
