import type { CourseInterval } from "@/charts/course";
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

/** "12.3 to 15.0 min", or "12.3 min" for a moment; seconds below three minutes. */
export function intervalWords(fromS: number, toS: number): string {
  const inMinutes = toS > 180;
  const shown = (seconds: number) => formatNumber(inMinutes ? seconds / 60 : seconds, inMinutes ? 2 : 1);
  const unit = inMinutes ? "min" : "s";
  const [from, to] = [shown(fromS), shown(toS)];
  return from === to ? `${from} ${unit}` : `${from} to ${to} ${unit}`;
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
