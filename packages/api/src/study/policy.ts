export interface OverviewCounts {
  readonly protocolInForce: boolean;
  readonly consentFormInForce: boolean;
  readonly volunteers: number;
  readonly permitted: number;
  readonly trials: number;
  /** Trials that came as far as recorded, checked or accepted. */
  readonly recorded: number;
  readonly accepted: number;
  readonly comparisons: number;
  readonly releases: number;
}

/** The screen on which a step is done. */
export type StepScreen = "protocol" | "consent" | "volunteers" | "trials" | "comparisons" | "releases";

export interface Step {
  readonly key: string;
  readonly done: boolean;
  readonly screen: StepScreen;
  readonly text: string;
  /** What stands there now, or why it comes next. */
  readonly note: string;
}

const people = (count: number) => `${count} ${count === 1 ? "volunteer" : "volunteers"}`;

/** What a study needs, in the order in which it is done. */
export function stepsOfStudy(counts: OverviewCounts): Step[] {
  return [
    {
      key: "protocol",
      done: counts.protocolInForce,
      screen: "protocol",
      text: "Put a protocol in force",
      note: "Phases, conditions, regions, room limits and stop criteria. No trial is planned without it.",
    },
    {
      key: "consent form",
      done: counts.consentFormInForce,
      screen: "consent",
      text: "Put a consent form in force",
      note: "The text that volunteers read, and the permissions that they decide on one by one.",
    },
    {
      key: "volunteers",
      done: counts.volunteers > 0,
      screen: "volunteers",
      text: "Register volunteers",
      note: counts.volunteers === 0 ? "Each is known by a code." : `${people(counts.volunteers)} registered.`,
    },
    {
      key: "consents",
      done: counts.volunteers > 0 && counts.permitted > 0,
      screen: "volunteers",
      text: "Record their consent",
      note: `${people(counts.permitted)} ${counts.permitted === 1 ? "permits" : "permit"} taking part now.`,
    },
    {
      key: "trials",
      done: counts.trials > 0,
      screen: "trials",
      text: "Plan trials",
      note: "One volunteer, one condition, one occasion.",
    },
    {
      key: "recorded",
      done: counts.recorded > 0,
      screen: "trials",
      text: "Upload source files",
      note: `${counts.recorded} of ${counts.trials} trials have their traces.`,
    },
    {
      key: "accepted",
      done: counts.accepted > 0,
      screen: "trials",
      text: "Check and accept trials",
      note: `${counts.accepted} accepted. Only accepted trials enter comparisons and releases.`,
    },
    {
      key: "comparisons",
      done: counts.comparisons > 0,
      screen: "comparisons",
      text: "Compare conditions",
      note: "A question about the volunteers, with its answer and its uncertainty.",
    },
    {
      key: "releases",
      done: counts.releases > 0,
      screen: "releases",
      text: "Make a release",
      note: "An anonymised dataset of those who permit sharing.",
    },
  ];
}
