import type { AdjustmentSettings } from "@acral/analysis/quality";
import { isRegionId, regionById } from "@acral/analysis/skin";

/** What adjustments are called and on which clock they stand. Nothing here reads or writes. */

/** Moves the moments of settings later by `byS` seconds: from one clock to another. */
export function onClock(settings: AdjustmentSettings, byS: number): AdjustmentSettings {
  switch (settings.kind) {
    case "common step":
      return { ...settings, atS: settings.atS + byS };
    case "warming-up drift":
      return { ...settings, startS: settings.startS + byS };
    case "mask":
      return { ...settings, fromS: settings.fromS + byS, toS: settings.toS + byS };
    case "reference drift":
    case "time shift":
    case "emissivity":
      return settings;
  }
}

/** By how many seconds the adjustments together move a file's times later. */
export function timeShiftOf(adjustments: readonly AdjustmentSettings[]): number {
  return adjustments.reduce(
    (sum, settings) => (settings.kind === "time shift" ? sum + settings.byS : sum),
    0,
  );
}

const signed = (value: number, digits = 2) => {
  const text = Math.abs(Number(value.toFixed(digits))).toString();
  return value < 0 ? `−${text}` : `+${text}`;
};
const seconds = (value: number) => `${Number(value.toFixed(2)).toString().replace("-", "−")} s`;

/** A series as adjustments name it, in plain words. */
export function seriesInWords(key: string): string {
  const [, regionId, statistic] = /^(\S+) \((.+)\)$/.exec(key) ?? [];
  if (regionId === undefined || !isRegionId(regionId)) return key;
  return `${regionById(regionId).label} (${statistic})`;
}

function seriesList(series: readonly string[] | null): string {
  if (series === null) return "everything";
  const [first = ""] = series;
  return series.length === 1 ? seriesInWords(first) : `${series.length} series`;
}

/** What an adjustment does, in one line. Its moments are said as they stand in the settings. */
export function adjustmentTitle(settings: AdjustmentSettings): string {
  switch (settings.kind) {
    case "reference drift":
      return `Offset against the reference surface taken out (true ${settings.trueC} °C, smoothed over ${seconds(settings.smoothingS)})`;
    case "common step":
      return `Step of ${signed(settings.heightC)} °C at ${seconds(settings.atS)} taken out`;
    case "warming-up drift":
      return settings.tauS === null
        ? `Even drift of ${signed(settings.amplitudeC * 60, 3)} °C per minute taken out`
        : `Drift of ${signed(settings.amplitudeC)} °C, settling with a time constant of ${seconds(settings.tauS)}, taken out`;
    case "mask":
      return `${seriesList(settings.series)} masked from ${seconds(settings.fromS)} to ${seconds(settings.toS)}`.replace(
        /^e/,
        "E",
      );
    case "time shift":
      return `Times moved by ${signed(settings.byS, 3)} s`;
    case "emissivity":
      return `Emissivity ${settings.from.emissivity} (reflected ${settings.from.reflectedC} °C) changed to ${settings.to.emissivity} (reflected ${settings.to.reflectedC} °C)`;
  }
}

/** Whether two adjustments are of the same fault, so that both together correct it twice; a sentence when they may be. */
export function doubledBy(
  candidate: AdjustmentSettings,
  others: readonly AdjustmentSettings[],
): string | null {
  const kinds = new Set(others.map(({ kind }) => kind));
  if (
    (candidate.kind === "reference drift" && kinds.has("warming-up drift")) ||
    (candidate.kind === "warming-up drift" && kinds.has("reference drift"))
  ) {
    return "A reference surface shows the camera's drift too. Taken out by both, it is taken out twice where the drift comes after the reference surface: keep the drift first, or undo one of the two.";
  }
  if (candidate.kind === "common step" && kinds.has("reference drift")) {
    return "A reference surface shows the camera's steps too: put this step before the reference surface, or it may be taken out twice.";
  }
  const { kind } = candidate;
  if (
    (kind === "reference drift" || kind === "warming-up drift" || kind === "emissivity") &&
    kinds.has(kind)
  ) {
    return "An adjustment of this kind is in force for this file already: together they correct it twice.";
  }
  return null;
}
