/**
 * What the simulator hands out. Everything in it is invented: people, places, dates and numbers.
 * The words are those of DEVELOPERS.md; region ids are those of the region catalogue of `@acral/analysis/skin`.
 */

export type SimulatedStatistic = "mean" | "maximum" | "standard deviation" | "point";
export type SimulatedChannel =
  | "heart rate"
  | "core temperature"
  | "air temperature"
  | "reference surface temperature";

export type SimulatedTarget =
  | { readonly kind: "region"; readonly regionId: string; readonly statistic: SimulatedStatistic }
  | { readonly kind: "channel"; readonly channel: SimulatedChannel };

/** One region × statistic, or one channel. Temperatures in °C, heart rate in 1/min; NaN where nothing was recorded. */
export interface SimulatedTrace {
  readonly target: SimulatedTarget;
  readonly unit: "°C" | "1/min";
  readonly values: Float64Array;
}

/** What an instrument recorded in one trial, before it is written as a source file. */
export interface SimulatedSeries {
  /** ISO 8601 moment of the file's origin, whole seconds, UTC ("2025-03-03T08:30:00Z"). */
  readonly startedAt: string;
  /** Seconds from the file's origin, increasing. */
  readonly timesS: Float64Array;
  readonly traces: readonly SimulatedTrace[];
}

export const dialects = [
  "comma-iso",
  "comma-iso-gzip",
  "semicolon-german",
  "tab-fahrenheit",
  "pipe-long",
  "aligned-kelvin",
] as const;
export type Dialect = (typeof dialects)[number];

export type ConditionName = "bare hands" | "insulated gloves";
export type PhaseKind = "rest" | "exercise" | "recovery";

/** How the images are to be taken; an empty text says nothing. */
export interface SimulatedImagingSetup {
  readonly camera: string;
  readonly resolution: string;
  readonly accuracy: string;
  readonly calibration: string;
  readonly emissivity: number;
  readonly reflectedTemperatureC: number;
  readonly reflectedTemperatureMethod: string;
  readonly distanceM: number;
  readonly frameSharePct: number;
  /** From the perpendicular. */
  readonly viewAngleDeg: number;
  readonly cameraWarmUpMin: number;
  readonly acclimatisationMin: number;
  readonly acclimatisation: string;
  readonly surroundings: string;
  readonly referenceSource: {
    readonly description: string;
    readonly temperatureC: number;
    readonly emissivity: number;
  };
  readonly posture: string;
  readonly skinPreparation: string;
  readonly outsideFactors: string;
  readonly regionDrawing: string;
  readonly regionProgram: string;
  readonly timeOfDay: string;
  readonly notes: string;
}

/** What an operator noted of the images of one trial; null and empty where it was forgotten. */
export interface SimulatedImagingRecord {
  readonly cameraUnit: string;
  readonly cameraWarmUpMin: number;
  readonly acclimatisationMin: number | null;
  readonly distanceM: number;
  readonly viewAngleDeg: number;
  readonly emissivity: number;
  readonly reflectedTemperatureC: number | null;
  readonly referenceInView: boolean;
  readonly referenceTemperatureC: number;
  readonly posture: string;
  readonly skinPreparation: string;
  readonly outsideFactors: string;
  /** "08:30" */
  readonly timeOfDay: string;
  readonly regionProgram: string;
  readonly regionsDrawnBy: string;
  readonly deviations: string;
}

export interface SimulatedProtocol {
  readonly title: string;
  readonly purpose: string;
  readonly phases: readonly { readonly name: string; readonly kind: PhaseKind; readonly durationS: number }[];
  readonly conditions: readonly { readonly name: ConditionName; readonly description: string }[];
  readonly regionIds: readonly string[];
  readonly roomLimits: {
    readonly airTemperatureC: readonly [number, number];
    readonly relativeHumidityPercent: readonly [number, number];
    readonly airSpeedMS: readonly [number, number];
  };
  readonly imaging: SimulatedImagingSetup;
  readonly preVisitRules: readonly string[];
  readonly stopCriteria: readonly string[];
  readonly plannedOutcomes: readonly string[];
}

export const permissionKeys = [
  "take part",
  "record thermal images of unclothed skin",
  "keep images",
  "show images in teaching",
  "show images in public",
  "share anonymised numbers",
  "be contacted again",
] as const;
export type PermissionKey = (typeof permissionKeys)[number];

export interface SimulatedConsentForm {
  readonly title: string;
  readonly text: string;
  readonly permissions: readonly {
    readonly key: PermissionKey;
    readonly text: string;
    readonly required: boolean;
  }[];
}

export interface SimulatedWithdrawal {
  /** "all", or the single permission taken back. */
  readonly scope: "all" | PermissionKey;
  /** ISO 8601 moment. */
  readonly at: string;
  readonly reason: string;
}

export interface SimulatedVolunteer {
  readonly sex: "female" | "male";
  readonly birthYear: number;
  readonly heightCm: number;
  readonly massKg: number;
  /** Invented; the contact is at example.org, which nobody can own (RFC 2606). */
  readonly identity: { readonly name: string; readonly contact: string; readonly dateOfBirth: string };
  readonly decisions: Readonly<Record<PermissionKey, boolean>>;
  /** ISO 8601 moment of signing. */
  readonly signedAt: string;
  readonly withdrawal: SimulatedWithdrawal | null;
}

export interface SimulatedRoom {
  readonly airTemperatureC: number;
  readonly meanRadiantTemperatureC: number;
  readonly relativeHumidityPercent: number;
  readonly airSpeedMS: number;
}

export interface SimulatedFile {
  readonly name: string;
  readonly dialect: Dialect;
  /** The bytes as the instrument would have written them; computed at each call, always the same. */
  bytes(): Uint8Array;
  /** What is written in the file, with all its digits and with instrument noise (NOT the noise-free truth). */
  series(): SimulatedSeries;
}

export type TrialFate =
  | { readonly kind: "accepted" }
  | { readonly kind: "set aside"; readonly reason: string }
  | { readonly kind: "not recorded"; readonly reason: string };

export interface SimulatedTrial {
  /** Index into `volunteers`. */
  readonly volunteerIndex: number;
  readonly condition: ConditionName;
  readonly occasion: 1 | 2;
  readonly room: SimulatedRoom;
  /** ISO 8601 moment: the file's origin, where a file exists. */
  readonly startedAt: string;
  readonly file: SimulatedFile | null;
  /** What was noted of the images; null where nothing was recorded or nobody noted anything. */
  readonly imaging: SimulatedImagingRecord | null;
  /** Where each phase begins, and where the last one ends; seconds from the file's origin. */
  readonly markers: readonly { readonly name: string; readonly atS: number }[];
  readonly fate: TrialFate;
}

export type ResponseKind = "falls then rewarms" | "falls without rewarming" | "hardly falls";

/** Faults of the camera that were put on a trial: common to every region seen by it. */
export type CameraFault =
  | { readonly kind: "recalibration step"; readonly atS: number; readonly sizeC: number }
  | { readonly kind: "warm-up drift"; readonly initialC: number; readonly timeConstantS: number };

/** The course of one region without any instrument: what a perfect analysis would find. */
export interface RegionTruth {
  readonly baselineC: number;
  readonly lowestC: number;
  /** Seconds from the start of exercise. */
  readonly lowestAtS: number;
  /** Baseline minus lowest point. */
  readonly fallC: number;
  readonly endOfExerciseC: number;
  /** End of exercise minus lowest point. */
  readonly rewarmingC: number;
}

export interface TrialTruth {
  readonly cameraFaults: readonly CameraFault[];
  readonly sessionOffsetC: number;
  readonly coreRiseC: number;
  readonly regions: ReadonlyMap<string, RegionTruth>;
}

export interface StudyTruth {
  /** The kind of response that was planted in each volunteer, by index. */
  readonly responses: readonly ResponseKind[];
  /** Computed when asked for, since every trial has to be integrated. */
  trial(index: number): TrialTruth;
  readonly planted: {
    /** Factor on the forearms' dilation with gloves on: why forearms rewarm more there. */
    readonly gloveForearmGain: number;
    /** Between- and within-volunteer spread of the resting level, °C, and the ratio that follows from them. */
    readonly restingLevel: {
      readonly betweenSdC: number;
      readonly withinSdC: number;
      readonly repeatability: number;
    };
    /** The same for the natural logarithm of the constriction. */
    readonly constriction: {
      readonly betweenSd: number;
      readonly withinSd: number;
      readonly repeatability: number;
    };
  };
}

export interface SimulatedStudy {
  readonly seed: number;
  readonly title: string;
  /** Says in one sentence that everything is invented. */
  readonly notice: string;
  readonly protocol: SimulatedProtocol;
  readonly consentForm: SimulatedConsentForm;
  readonly volunteers: readonly SimulatedVolunteer[];
  readonly trials: readonly SimulatedTrial[];
  readonly truth: StudyTruth;
}
