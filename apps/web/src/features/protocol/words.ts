import { regionById } from "@acral/analysis/skin";
import { formatNumber } from "@/components/quantity";
import type { BadgeShape } from "@/components/state-badge";
import type { Content, Imaging, PhaseKind, Statistic } from "./draft-form";

export const phaseKindNames: Readonly<Record<PhaseKind, string>> = {
  rest: "rest",
  exercise: "exercise",
  recovery: "recovery",
};

export type VersionState = "draft" | "in_force" | "retired";
export const versionStates: Readonly<
  Record<VersionState, { readonly shape: BadgeShape; readonly name: string }>
> = {
  draft: { shape: "open", name: "draft" },
  in_force: { shape: "lock", name: "in force" },
  retired: { shape: "bar", name: "retired" },
};

/** Seconds as people say them: "20 min", "1 h 30 min", "45 s". */
export function durationText(seconds: number | null): string {
  if (seconds === null) return "no duration yet";
  const parts = [
    [Math.floor(seconds / 3600), "h"],
    [Math.floor((seconds % 3600) / 60), "min"],
    [Number((seconds % 60).toFixed(3)), "s"],
  ] as const;
  return (
    parts
      .filter(([count]) => count > 0)
      .map(([count, unit]) => `${count} ${unit}`)
      .join(" ") || "0 s"
  );
}

export function limitText(min: number | null, max: number | null, unit: string): string {
  const number = (value: number) => formatNumber(value, Number.isInteger(value) ? 0 : 1);
  if (min !== null && max !== null) return `${number(min)} to ${number(max)} ${unit}`;
  if (min !== null) return `at least ${number(min)} ${unit}`;
  if (max !== null) return `at most ${number(max)} ${unit}`;
  return "no limit";
}

export interface RegionRow {
  readonly regionId: string;
  readonly label: string;
  readonly statistics: readonly Statistic[];
}

/** One row per region, with all statistics that are recorded of it, in the order of choice. */
export function regionRows(regions: Content["regions"]): RegionRow[] {
  const ids = [...new Set(regions.map((region) => region.regionId))];
  return ids.map((regionId) => ({
    regionId,
    label: regionById(regionId).label,
    statistics: regions.filter((region) => region.regionId === regionId).map((region) => region.statistic),
  }));
}

/** The imaging set-up as pairs, without what was left open. */
export function imagingItems(
  imaging: Imaging,
  items: readonly { readonly key: string; readonly name: string }[],
): { label: string; value: string }[] {
  const number = (value: number | null, unit: string) => {
    const text = value === null ? "" : String(value).replace("-", "−");
    return text === "" || unit === "" ? text : `${text}${unit === "°" ? "" : " "}${unit}`;
  };
  const { referenceSource } = imaging;
  return [
    { label: "Camera", value: imaging.camera },
    { label: "Resolution", value: imaging.resolution },
    { label: "Stated accuracy", value: imaging.accuracy },
    { label: "Calibration", value: imaging.calibration },
    { label: "Camera warm-up", value: number(imaging.cameraWarmUpMin, "min") },
    { label: "Emissivity", value: number(imaging.emissivity, "") },
    { label: "Reflected temperature", value: number(imaging.reflectedTemperatureC, "°C") },
    { label: "How it is measured", value: imaging.reflectedTemperatureMethod },
    {
      label: "Reference source",
      value: [
        referenceSource.description,
        number(referenceSource.temperatureC, "°C"),
        referenceSource.emissivity === null ? "" : `emissivity ${referenceSource.emissivity}`,
      ]
        .filter((part) => part !== "")
        .join(", "),
    },
    { label: "Distance", value: number(imaging.distanceM, "m") },
    { label: "Share of the image", value: number(imaging.frameSharePct, "%") },
    { label: "Angle of view", value: number(imaging.viewAngleDeg, "°") },
    { label: "Surroundings", value: imaging.surroundings },
    { label: "Acclimatisation", value: number(imaging.acclimatisationMin, "min") },
    { label: "How volunteers acclimatise", value: imaging.acclimatisation },
    { label: "Posture", value: imaging.posture },
    { label: "Preparation of the skin", value: imaging.skinPreparation },
    { label: "Outside factors asked about", value: imaging.outsideFactors },
    { label: "Time of day", value: imaging.timeOfDay },
    { label: "How regions are drawn", value: imaging.regionDrawing },
    { label: "Program", value: imaging.regionProgram },
    {
      label: "Does not apply",
      value: Object.entries(imaging.notApplicable)
        .map(([key, reason]) => `${items.find((item) => item.key === key)?.name ?? key}: ${reason}`)
        .join("\n"),
    },
    { label: "Notes", value: imaging.notes },
  ].filter((item) => item.value !== "");
}
