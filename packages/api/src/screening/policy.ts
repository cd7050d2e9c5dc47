import type { Sex } from "@acral/db";
import type { ScreeningContent, ScreeningLimits } from "../screening-set/schema";
import type { Answers } from "./schema";

/**
 * Whether somebody may begin a trial, by what a study asks before exercise in the heat. Nothing here diagnoses: it compares
 * answers with rules, and says when a licensed professional has to decide.
 */

/** Every rule with yes or no, every question with an answer, and nothing else; sentences by key of what is not. */
export function answersRefusal(
  content: ScreeningContent,
  given: Answers,
): { key: string; message: string } | null {
  for (const { key, text } of content.rules) {
    if (given[key] === undefined) return { key, message: `Say of this rule whether it holds: “${text}”` };
    if (given[key] === "unsure") {
      return { key, message: `Find out whether this holds before you record the answers: “${text}”` };
    }
  }
  for (const { key, text } of content.questions) {
    if (given[key] === undefined) return { key, message: `This question is not answered yet: “${text}”` };
  }
  const known = new Set([...content.rules, ...content.questions].map((item) => item.key));
  const strange = Object.keys(given).find((key) => !known.has(key));
  return strange === undefined ? null : { key: strange, message: "The set in force does not ask this." };
}

export interface Body {
  readonly sex: Sex;
  readonly birthYear: number | null;
  /** kg/m², as measured last. */
  readonly massIndex: number | null;
}

export interface AgainstLimits {
  /** Limits that are not kept, as sentences. */
  readonly excluded: string[];
  /** What could not be compared, since it is not entered. */
  readonly open: string[];
}

const range = (from: number | null, to: number | null, unit: string) =>
  from === null
    ? `at most ${to} ${unit}`
    : to === null
      ? `at least ${from} ${unit}`
      : `${from} to ${to} ${unit}`;

/** What is entered of a volunteer, beside the limits. The age is the one reached within the year of the day. */
export function againstLimits(limits: ScreeningLimits, body: Body, onDay: string): AgainstLimits {
  const excluded: string[] = [];
  const open: string[] = [];
  const { ageFromYears, ageToYears, massIndexFrom, massIndexTo, sexes } = limits;
  if (ageFromYears !== null || ageToYears !== null) {
    const wanted = range(ageFromYears, ageToYears, "years");
    if (body.birthYear === null)
      open.push(`The study takes ages of ${wanted}, and no birth year is entered.`);
    else {
      const age = Number(onDay.slice(0, 4)) - body.birthYear;
      if (age < (ageFromYears ?? age) || age > (ageToYears ?? age)) {
        excluded.push(`The study takes ages of ${wanted}; by the birth year it is ${age}.`);
      }
    }
  }
  if (massIndexFrom !== null || massIndexTo !== null) {
    const wanted = range(massIndexFrom, massIndexTo, "kg/m²");
    const index = body.massIndex;
    if (index === null)
      open.push(`The study takes a body mass index of ${wanted}, and no body measures are entered.`);
    else if (index < (massIndexFrom ?? index) || index > (massIndexTo ?? index)) {
      excluded.push(
        `The study takes a body mass index of ${wanted}; as measured last it is ${index.toFixed(1)}.`,
      );
    }
  }
  if (sexes.length > 0) {
    const wanted = sexes.map((one) => one.replace("_", " ")).join(" or ");
    if (body.sex === "not_stated" && !sexes.includes("not_stated")) {
      open.push(`The study takes volunteers who are ${wanted}, and the sex is not stated.`);
    } else if (!sexes.includes(body.sex)) excluded.push(`The study takes volunteers who are ${wanted}.`);
  }
  return { excluded, open };
}

/** What answers mean by the rules and questions of their set. */
export function weighed(content: ScreeningContent, given: Answers) {
  const asked = content.questions.filter(({ key }) => given[key] !== "no");
  return {
    /** Rules that the volunteer does not meet, in words. */
    excluded: content.rules.flatMap(({ key, kind, text }) =>
      kind === "inclusion"
        ? given[key] === "yes"
          ? []
          : [`Has to hold and does not: “${text}”`]
        : given[key] === "no"
          ? []
          : [`Must not hold and does: “${text}”`],
    ),
    needClearance: asked.filter((question) => question.needsClearance).map(({ text }) => text),
    cautions: asked.filter((question) => !question.needsClearance).map(({ text }) => text),
  };
}

export interface LatestClearance {
  readonly given: boolean;
  /** Days as year-month-day. */
  readonly decidedOn: string;
  readonly validUntil: string | null;
}

export interface Screened {
  /** Version of the set that was answered last. */
  readonly version: number;
  readonly content: ScreeningContent;
  readonly answers: Answers;
  readonly clearance: LatestClearance | null;
}

export const screeningStates = [
  "not set up",
  "not screened",
  "older version",
  "excluded",
  "needs clearance",
  "clearance refused",
  "clearance over",
  "cleared",
  "nothing found",
] as const;
export type ScreeningState = (typeof screeningStates)[number];

export interface Judged {
  readonly state: ScreeningState;
  /** Why a trial may not begin, in words that say nothing of health; null when it may. */
  readonly why: string | null;
  /** The rules that exclude, where that is why. */
  readonly because: readonly string[];
  readonly cautions: readonly string[];
}

/**
 * Whether a trial may begin on a day. The latest answers decide, and only those to the set in force: answers to an older
 * version said nothing to what was added. An exclusion is not lifted by a clearance.
 */
export function judge(
  inForce: { readonly version: number; readonly content: ScreeningContent } | null,
  latest: Screened | null,
  body: Body,
  onDay: string,
): Judged {
  if (inForce === null) return { state: "not set up", why: null, because: [], cautions: [] };
  const limits = againstLimits(inForce.content.limits, body, onDay);
  const stop = (
    state: ScreeningState,
    why: string,
    because: readonly string[] = [],
    cautions = limits.open,
  ): Judged => ({
    state,
    why,
    because,
    cautions,
  });
  if (limits.excluded.length > 0)
    return stop("excluded", "A rule of the study excludes this volunteer.", limits.excluded);
  if (latest === null)
    return stop("not screened", "The questions before exercise in the heat are not answered yet.");
  if (latest.version !== inForce.version) {
    return stop(
      "older version",
      `Version ${inForce.version} of the screening is in force, and version ${latest.version} was answered. Ask again.`,
    );
  }
  const { excluded, needClearance, cautions } = weighed(latest.content, latest.answers);
  const told = [...limits.open, ...cautions.map((text) => `Answered with yes or not sure: “${text}”`)];
  if (excluded.length > 0)
    return stop("excluded", "A rule of the study excludes this volunteer.", excluded, told);
  const { clearance } = latest;
  if (clearance !== null && !clearance.given) {
    return stop(
      "clearance refused",
      `A licensed professional refused the clearance on ${clearance.decidedOn}.`,
      [],
      told,
    );
  }
  if (needClearance.length === 0) return { state: "nothing found", why: null, because: [], cautions: told };
  if (clearance === null) {
    return stop("needs clearance", "A licensed professional's clearance is needed first.", [], told);
  }
  if (clearance.validUntil !== null && clearance.validUntil < onDay) {
    return stop("clearance over", `The clearance counted until ${clearance.validUntil}.`, [], told);
  }
  return { state: "cleared", why: null, because: [], cautions: told };
}

/**
 * The day that a screening is judged by: today, or the day that the trial was planned for when that is over, since a recording
 * is often uploaded later than it was made.
 */
export function dayOfTrial(plannedFor: Date | null, now: Date): string {
  return (plannedFor !== null && plannedFor < now ? plannedFor : now).toISOString().slice(0, 10);
}
