/** What a withdrawal takes back: everything, what taking part needs, sharing, or something else. */
export type WithdrawalScope = "all" | "required" | "sharing" | "other";

export type ChosenEffect = "stop" | "exclude" | "erase";

interface EffectWords {
  readonly label: string;
  readonly note: string;
}

/** The permission under which numbers leave the study. */
const sharingPermission = "share-anonymised-numbers";

export function scopeOf(permission: { readonly key: string; readonly required: boolean } | null) {
  if (permission === null) return "all";
  if (permission.required) return "required";
  return permission.key === sharingPermission ? "sharing" : "other";
}

type Whose = "your" | "their";

/** The last word counts: a consent signed after an exclusion opens what is stored again, so that it is said before. */
const unused = (whose: Whose) =>
  `It is kept, unused, until it is erased or its time is over, or until ${whose === "your" ? "you sign" : "they sign"} a consent again that permits its use.`;

const notes = {
  all: {
    stop: (whose: Whose) =>
      `Nothing new: no trial, no file, and no release made from now on holds ${whose} numbers. What was stored by then may still be used in this study's figures and comparisons.`,
    exclude: (whose: Whose) =>
      `Nothing new, and what is stored appears in no figure, no comparison and no later release. ${unused(whose)}`,
  },
  required: {
    stop: () =>
      "Nothing new: no trial is planned and no file is taken, since taking part needs this permission. What was stored by then may still be used in figures and comparisons, and in releases for as long as sharing is permitted.",
    exclude: (whose: Whose) =>
      `Nothing new, and what is stored appears in no figure, no comparison and no later release, since taking part needs this permission. ${unused(whose)}`,
  },
  sharing: {
    stop: (whose: Whose) =>
      `No release made from now on holds ${whose} numbers, since each release shares anew. Within the study they may still be used.`,
    exclude: () =>
      "For sharing this comes to the same as stopping: what is stored leaves the study by new releases alone. It is kept that this was chosen.",
  },
  other: {
    stop: () => "Nothing new is done under it. What was stored under it may still be used as before.",
    exclude: () => "Nothing new is done under it, and what was stored under it is used for it no longer.",
  },
} as const;

const labels = {
  stop: "Stop only",
  exclude: "Stop, and exclude what is stored from future use",
  erase: "Erase everything",
} as const;

/** What an effect comes to, told to the volunteer ("your") or of them ("their"). */
export function effectWords(effect: ChosenEffect, scope: WithdrawalScope, whose: Whose): EffectWords {
  const label = labels[effect];
  if (effect === "erase") {
    return {
      label,
      note: `${whose === "your" ? "Your" : "Their"} name, contact, signatures, trials and files are removed for good. Only the code stays, and that it was erased. This cannot be undone.`,
    };
  }
  return { label, note: notes[scope][effect](whose) };
}
