import type { RefusedPlace } from "./errors";
import type { IdentityScan } from "./identity-scan";
import type { ReleaseFrame } from "./release-input";

/** Text that staff typed and that a release writes, with the place where it can be changed. */
interface FreeText {
  readonly place: string;
  readonly text: string;
}

function freeTextsOf(frame: ReleaseFrame): FreeText[] {
  const texts: FreeText[] = [
    { place: "study, title", text: frame.study.title },
    { place: "study, summary", text: frame.study.summary },
    { place: "licence, title", text: frame.release.licence.title },
  ];
  for (const [index, phase] of frame.protocol.phases.entries()) {
    texts.push({ place: `protocol, phase ${index + 1}, name`, text: phase.name });
  }
  for (const [index, condition] of frame.protocol.conditions.entries()) {
    texts.push({ place: `protocol, condition ${index + 1}, name`, text: condition.name });
    texts.push({ place: `protocol, condition ${index + 1}, description`, text: condition.description });
  }
  const phaseNames = new Set(frame.protocol.phases.map((phase) => phase.name));
  for (const trial of frame.trials) {
    for (const phase of trial.phases) {
      if (phaseNames.has(phase.name)) continue;
      phaseNames.add(phase.name);
      texts.push({ place: "a trial's phases, a name that is not in the protocol", text: phase.name });
    }
  }
  return texts;
}

const months = "jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec";

/** A date with its day, in the ways people write one. A year alone is no date. */
const dates: readonly RegExp[] = [
  /\b\d{4}[-/.]\d{1,2}[-/.]\d{1,2}\b/,
  /\b\d{1,2}[./-]\d{1,2}[./-](?:\d{4}|\d{2})\b/,
  new RegExp(String.raw`\b\d{1,2}(?:st|nd|rd|th|\.)?\s+(?:of\s+)?(?:${months})[a-z]*\.?,?\s+\d{4}\b`, "i"),
  new RegExp(String.raw`\b(?:${months})[a-z]*\.?\s+\d{1,2}(?:st|nd|rd|th)?,?\s+\d{4}\b`, "i"),
];

/** What in the study's free text keeps it from going out: identities, dates, e-mail addresses. */
export function problemsOfFreeText(frame: ReleaseFrame, scan: IdentityScan): RefusedPlace[] {
  const problems: RefusedPlace[] = [];
  for (const { place, text } of freeTextsOf(frame)) {
    if (scan.finds(text)) {
      problems.push({
        place,
        problem: "contains a volunteer's code, or a name, contact or birth date. Reword it without.",
      });
    }
    if (dates.some((date) => date.test(text))) {
      problems.push({ place, problem: "contains a date. No date may leave the study: reword it without." });
    }
    if (/[^\s@]+@[^\s@]+\.[^\s@]+/.test(text)) {
      problems.push({ place, problem: "contains an e-mail address. Reword it without." });
    }
  }
  return problems;
}

/**
 * Words of measures and channels. They are listed here and not taken from the input: a measure's name that carried a
 * person's name would otherwise excuse it.
 */
const wordsOfTheTrade =
  "air area baseline beats body cadence change channel core course end exercise fall heart heat humidity loss lowest " +
  "maximum mean minimum onset oxygen phase plateau point power radiant rate recovery reference relative rest rewarming " +
  "rise room skin speed standard start storage surface temperature time trial uptake ventilation";

/** The words that every release of any study may use, from which a plain word gives nobody away. */
export function vocabularyOf(frame: ReleaseFrame): string {
  const words = frame.protocol.regions.flatMap(({ id, site, side, aspect, label }) => [
    id,
    site,
    side,
    aspect,
    label,
  ]);
  return [wordsOfTheTrade, ...words].join(" ");
}
