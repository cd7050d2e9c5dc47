export { type SimulationOptions, simulateStudy } from "./simulate-study";
export type {
  CameraFault,
  ConditionName,
  Dialect,
  PermissionKey,
  PhaseKind,
  RegionTruth,
  ResponseKind,
  SimulatedChannel,
  SimulatedConsentForm,
  SimulatedFile,
  SimulatedProtocol,
  SimulatedRoom,
  SimulatedSeries,
  SimulatedStatistic,
  SimulatedStudy,
  SimulatedTarget,
  SimulatedTrace,
  SimulatedTrial,
  SimulatedVolunteer,
  SimulatedWithdrawal,
  StudyTruth,
  TrialFate,
  TrialTruth,
} from "./types";
export { dialects, permissionKeys } from "./types";
export { writeSourceFile } from "./write-source-file";
