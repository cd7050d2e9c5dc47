export { assessDisclosure } from "./assess-disclosure";
export { csvRow } from "./csv";
export type {
  BodyColumn,
  ColumnCoarsening,
  DisclosureReport,
  Refusal,
  WithheldNumbers,
} from "./disclosure-report";
export { type DisclosureRule, defaultDisclosureRule, disclosureRuleSchema } from "./disclosure-rule";
export { type RefusedPlace, ReleaseInputError, ReleaseRefusedError } from "./errors";
export { forbiddenStringsOf, type KnownOfVolunteer } from "./identity-scan";
export {
  type AnswerDistance,
  type GroupedAnswer,
  kAnonymity,
  lDiversity,
  tCloseness,
} from "./privacy-measures";
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
  TraceTarget,
  TraceToRelease,
  TrialToRelease,
  VolunteerToRelease,
} from "./release-input";
export { writeRelease } from "./write-release";
export { ZipStream } from "./zip-stream";
