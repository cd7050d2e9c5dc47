import { type Permission, takePart } from "./schema";

/** Offered to every study, which edits the list. Other parts of the product ask for these keys by name. */
export const permissionKeys = {
  takePart,
  recordThermalImages: "record-thermal-images",
  keepImages: "keep-images",
  showInTeaching: "show-in-teaching",
  showInPublic: "show-in-public",
  shareAnonymisedNumbers: "share-anonymised-numbers",
  contactAgain: "contact-again",
} as const;

/** What planning a trial and taking a file in need. */
export const recordingPermissions = [permissionKeys.takePart, permissionKeys.recordThermalImages] as const;

export const defaultPermissions: readonly Permission[] = [
  { key: permissionKeys.takePart, label: "I take part in this study.", required: true },
  {
    key: permissionKeys.recordThermalImages,
    label: "Thermal images of my unclothed skin, in the places named above, may be recorded.",
    required: true,
  },
  {
    key: permissionKeys.keepImages,
    label: "The thermal images may be kept after the temperatures were read from them.",
    required: false,
  },
  {
    key: permissionKeys.showInTeaching,
    label: "Images on which I cannot be recognised may be shown in teaching.",
    required: false,
  },
  {
    key: permissionKeys.showInPublic,
    label: "Images on which I cannot be recognised may be shown in public, for instance in a publication.",
    required: false,
  },
  {
    key: permissionKeys.shareAnonymisedNumbers,
    label: "Numbers from which I cannot be recognised may be given to other researchers.",
    required: false,
  },
  {
    key: permissionKeys.contactAgain,
    label: "I may be contacted again about a later study.",
    required: false,
  },
];

/**
 * A text to adapt, in our own words. It covers what good practice asks a volunteer to be told: the information items
 * (f) to (v) of section 2.8.10 of ICH E6(R3), 2025, and before them purpose, procedures and confidentiality. What
 * stands in double brackets is filled in by the study; a form with such a place left cannot be put in force.
 */
export const textTemplate = `## What this study is about

This is research. We want to find out [[the research question, in one or two plain sentences]]. About [[how many]] people take part.

## What you would do

You come [[how often]] for about [[how long]] each time. At each visit [[what happens, in the order in which it happens: undressing to what, resting, exercise and how hard, recovery]]. [[Whether and how the order of the conditions is drawn by lot.]]

## What is recorded

A camera that sees warmth records the temperature of your skin at [[which places of the body, and how they are unclothed]]. We also record [[heart rate, body measures and whatever else]].

## What may be unpleasant or risky

[[Foreseeable risks and discomforts: heat, cold, exertion, unclothed skin, and what is done against each.]] We stop at once whenever you ask, and whenever we see a reason to.

You should not take part if [[who must not take part, and which answers need clearance by a licensed professional first]].

## What you gain, and what else you could do

[[Expected benefits. If there are none for you, say so.]] You can simply not take part. [[Alternatives, where there are any.]]

## If you are harmed, and what it costs you

[[Treatment and compensation if something happens.]] [[Expenses that are refunded, and payment, also for a visit that is broken off.]]

## Taking part is your own free choice

You may say no, stop during a visit, or end your part in the study at any time, without giving a reason and without any disadvantage. We may end your part if [[reasons, for instance your safety]]. We tell you if we learn something that could change your mind.

## What happens to your data

Everything is kept under a code. Your name, contact and date of birth are kept apart, encrypted, and seen only by those who run the visits; every such look is recorded. [[Where the data are kept, for how long, and who is responsible under which data protection law.]] [[Monitors, the ethics body and authorities]] may look at the records to check the study, and are bound to keep them confidential. What is published does not let anybody recognise you.

## Taking a permission back

You can take back any permission below, or all of them, at any time and as easily as you gave it: tell [[whom, and how]]. From that moment on your data are no longer used for it: they appear in no new figure, comparison or dataset. What was done before stays lawful, and a dataset that was already handed out cannot be called back. [[Whether data already recorded are destroyed or kept.]]

## Results, questions, and your copy

You can ask for the results of the study, and for your own. Questions: [[name and contact of the person responsible]]. Complaints: [[name and contact of an independent person or the ethics body]]. You keep a copy of this form. The study was approved by [[ethics body, number, date]].

## Your decisions

Each permission below is decided separately. Only those marked as required are needed to take part.
`;

export interface FormShortcoming {
  readonly field: string;
  readonly message: string;
}

/** What a draft lacks before it can be put in force, in words. */
export function missingInForm(form: {
  readonly title: string;
  readonly text: string;
  readonly permissions: readonly Permission[];
}): FormShortcoming[] {
  const missing: FormShortcoming[] = [];
  if (form.title === "") missing.push({ field: "title", message: "Give the consent form a title." });
  if (form.text.trim() === "") {
    missing.push({ field: "text", message: "Write the text that volunteers read before they decide." });
  }
  const open = openPlaces(form.text);
  if (open.length > 0) {
    const shown = open.slice(0, 3).map((place) => `line ${place.line} “${place.text}”`);
    const more = open.length > shown.length ? `, and ${open.length - shown.length} more` : "";
    missing.push({
      field: "text",
      message: `Fill in what stands in double brackets: ${shown.join(", ")}${more}.`,
    });
  }
  form.permissions.forEach((permission, index) => {
    if (permission.label === "") {
      missing.push({
        field: `permissions.${index}.label`,
        message: `Write out permission no. ${index + 1}.`,
      });
    }
  });
  return missing;
}

/** The places of the template that nobody has filled in yet. */
export function openPlaces(text: string): { line: number; text: string }[] {
  return text
    .split("\n")
    .flatMap((line, index) =>
      [...line.matchAll(/\[\[(.+?)\]\]/g)].map((match) => ({ line: index + 1, text: match[1] ?? "" })),
    );
}
