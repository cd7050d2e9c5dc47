export type MeasureName =
  | "baseline"
  | "lowest point"
  | "time of lowest point"
  | "end of exercise"
  | "change"
  | "fall"
  | "rise"
  | "onset of rewarming"
  | "rate of fall"
  | "rate of rewarming"
  | "plateau"
  | "area under the change"
  | "recovery half-time"
  | "patchiness at baseline"
  | "patchiness at end of exercise"
  | "left-right difference at baseline"
  | "left-right difference at end of exercise"
  | "forearm-fingertip gradient at baseline"
  | "forearm-fingertip gradient at end of exercise";

export interface MeasureEntry {
  readonly name: MeasureName;
  readonly unit: string;
  readonly meaning: string;
}

/** Every measure of a trial, in the order in which it is listed. Times count from the start of the first exercise phase. */
export const measureCatalogue: readonly MeasureEntry[] = [
  { name: "baseline", unit: "°C", meaning: "Mean over the last part of the first rest phase." },
  { name: "lowest point", unit: "°C", meaning: "Lowest moving mean during exercise." },
  { name: "time of lowest point", unit: "s", meaning: "When the lowest point was reached." },
  { name: "end of exercise", unit: "°C", meaning: "Mean over the last part of the last exercise phase." },
  { name: "change", unit: "°C", meaning: "End of exercise minus baseline." },
  { name: "fall", unit: "°C", meaning: "Baseline minus lowest point." },
  {
    name: "rise",
    unit: "°C",
    meaning: "Highest moving mean between the lowest point and the end of exercise, minus lowest point.",
  },
  { name: "onset of rewarming", unit: "s", meaning: "Break of a broken line from fall to rise." },
  { name: "rate of fall", unit: "°C/s", meaning: "Slope of the broken line before the onset of rewarming." },
  {
    name: "rate of rewarming",
    unit: "°C/s",
    meaning: "Slope of the broken line after the onset of rewarming.",
  },
  { name: "plateau", unit: "°C", meaning: "Level of the steady stretch at the end of exercise." },
  {
    name: "area under the change",
    unit: "°C·s",
    meaning: "Area between course and baseline during exercise; below counts negative.",
  },
  {
    name: "recovery half-time",
    unit: "s",
    meaning: "Time from the start of recovery until half of the change is undone.",
  },
  {
    name: "patchiness at baseline",
    unit: "°C",
    meaning: "Standard deviation over the region's pixels, mean over the baseline.",
  },
  {
    name: "patchiness at end of exercise",
    unit: "°C",
    meaning: "Standard deviation over the region's pixels, mean over the end of exercise.",
  },
  {
    name: "left-right difference at baseline",
    unit: "°C",
    meaning: "Left minus right, listed under the left region.",
  },
  {
    name: "left-right difference at end of exercise",
    unit: "°C",
    meaning: "Left minus right, listed under the left region.",
  },
  {
    name: "forearm-fingertip gradient at baseline",
    unit: "°C",
    meaning: "Forearm minus fingertip of one side, listed under the fingertip.",
  },
  {
    name: "forearm-fingertip gradient at end of exercise",
    unit: "°C",
    meaning: "Forearm minus fingertip of one side, listed under the fingertip.",
  },
];

export function measureEntry(name: MeasureName): MeasureEntry {
  const entry = measureCatalogue.find((candidate) => candidate.name === name);
  if (entry === undefined) throw new Error(`The measure catalogue has no "${name}".`);
  return entry;
}
