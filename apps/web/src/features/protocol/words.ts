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
export function imagingItems(imaging: Imaging): { label: string; value: string }[] {
  const number = (value: number | null, unit: string) =>
    value === null ? "" : `${value}${unit === "" ? "" : ` ${unit}`}`;
  return [
    { label: "Camera", value: imaging.camera },
    { label: "Emissivity", value: number(imaging.emissivity, "") },
    { label: "Distance", value: number(imaging.distanceM, "m") },
    { label: "Camera warm-up", value: number(imaging.cameraWarmUpMin, "min") },
    { label: "Reference surface", value: imaging.referenceSurface },
    { label: "Notes", value: imaging.notes },
  ].filter((item) => item.value !== "");
}
