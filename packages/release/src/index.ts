export type {
  BodyColumn,
  ColumnCoarsening,
  DisclosureReport,
  Refusal,
  WithheldNumbers,
} from "./disclosure-report";
export { type DisclosureRule, defaultDisclosureRule, disclosureRuleSchema } from "./disclosure-rule";
export { type RefusedPlace, ReleaseInputError, ReleaseRefusedError } from "./errors";
export { type RandomSource, seededRandom } from "./random-source";
export type {
  Licence,
  MeasureToRelease,
  PhaseKind,
  ProtocolToRelease,
  RegionToRelease,
  ReleaseFacts,
  ReleaseFrame,
  ReleaseInput,
  StudyToRelease,
  TimeBase,
  TraceTarget,
  TraceToRelease,
  TrialToRelease,
  VolunteerToRelease,
} from "./release-input";
