import type { CourseInterval } from "@/charts/course";
import { formatTime, timeUnitFor } from "@/charts/ticks";
import { formatNumber } from "@/components/quantity";
import type { Outputs } from "@/trpc/outputs";

export type Quality = Outputs["quality"]["ofTrial"];
export type QualityFile = Quality["files"][number];
export type Finding = QualityFile["findings"][number];
export type Adjustment = QualityFile["adjustments"][number];

/** A finding with what names it on its trial's page: its file, its number, an id over all files. */
export interface NumberedFinding {
  readonly id: string;
  readonly number: number;
  readonly file: QualityFile;
  readonly finding: Finding;
}

/** The findings of all files, numbered in order of time. */
export function numberedFindings(quality: Quality): NumberedFinding[] {
  return quality.files
    .flatMap((file) => file.findings.map((finding) => ({ file, finding })))
    .sort((a, b) => a.finding.fromS - b.finding.fromS || a.finding.toS - b.finding.toS)
    .map(({ file, finding }, index) => ({
      id: `${file.sourceFileId} ${finding.key}`,
      number: index + 1,
      file,
      finding,
    }));
}

export type Standing = Finding["standing"];

/** How sure, in words that say what it rests on. */
export const confidenceWords: Readonly<Record<Finding["confidence"], string>> = {
  sure: "sure: read off the data",
  likely: "likely",
  possible: "possible",
};

/**
 * "0 to 20 min"; what is short is said in seconds, as its moments are entered: "1045 to 1050 s (17.4 min)".
 */
export function intervalWords(fromS: number, toS: number): string {
  const unit = timeUnitFor(fromS, toS);
  const [from, to] = [formatTime(fromS, unit), formatTime(toS, unit)];
  const words = from === to ? `${from} ${unit}` : `${from} to ${to} ${unit}`;
  return unit === "s" && timeUnitFor(0, toS) === "min"
    ? `${words} (${formatTime(fromS, "min", 1)} min)`
    : words;
}

export function sizeWords(finding: Pick<Finding, "size" | "unit">): string | null {
  if (finding.size === null) return null;
  const { size, unit } = finding;
  return unit === "°C" ? `${formatNumber(size, 2, true)} °C` : `${formatNumber(size, 1)} ${unit}`.trim();
}

export function intervalOf({ id, number, finding }: NumberedFinding): CourseInterval {
  const { title, fromS, toS, standing } = finding;
  return {
    id,
    number,
    label: `${number}: ${title}, ${intervalWords(fromS, toS)}, ${standing}`,
    fromS,
    toS,
    settled: standing !== "open",
  };
}

/** The stretch to show for a finding: itself with as much around it as is needed to judge it; all when it is long. */
export function spanAround(
  finding: Pick<Finding, "fromS" | "toS">,
  recording: { readonly fromS: number; readonly toS: number },
): { fromS: number; toS: number } | null {
  const whole = recording.toS - recording.fromS;
  const length = finding.toS - finding.fromS;
  const wanted = Math.max(4 * length, 60, whole / 20);
  if (wanted >= whole * 0.8) return null;
  const middle = (finding.fromS + finding.toS) / 2;
  const fromS = Math.max(recording.fromS, Math.min(recording.toS - wanted, middle - wanted / 2));
  return { fromS, toS: Math.min(recording.toS, fromS + wanted) };
}
