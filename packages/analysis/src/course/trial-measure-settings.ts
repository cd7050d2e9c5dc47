import { type AlignTrialSettings, alignTrialDefaults } from "./align-trial";

export interface TrialMeasureSettings extends AlignTrialSettings {
  /** The baseline is the mean over this last part of rest, in s. */
  readonly baselineS: number;
  /** End of exercise is the mean over this last part of exercise, in s. */
  readonly endOfExerciseS: number;
  /** Width of the moving mean behind lowest and highest points, in s. */
  readonly smoothingS: number;
  /** A level needs values in at least this share of its window. */
  readonly minimumCoverage: number;
  /** Longest gap in s that an area may bridge. */
  readonly longestGapS: number;
  /** A smaller change from baseline has no recovery half-time, in °C. */
  readonly smallestDepartureC: number;
  readonly plateau: { readonly toleranceC: number; readonly minimumS: number };
}

/** Common practice; a study states its own in its protocol. */
export const trialMeasureDefaults: TrialMeasureSettings = {
  ...alignTrialDefaults,
  baselineS: 120,
  endOfExerciseS: 60,
  smoothingS: 30,
  minimumCoverage: 0.5,
  longestGapS: 60,
  smallestDepartureC: 0.3,
  plateau: { toleranceC: 0.2, minimumS: 180 },
};
