import { placeNames } from "@/features/imaging/imaging-words";
import type { Outputs } from "@/trpc/outputs";

export type Methods = Outputs["methods"]["get"];

/** Which trials the text speaks of, as a sentence. */
export function scopeSentence({ choice, counts, withoutConsent }: Methods): string {
  const trials = choice === "accepted" ? counts.accepted : counts.recorded;
  const what = choice === "accepted" ? "accepted" : "recorded, checked or accepted";
  const left =
    withoutConsent === 0
      ? ""
      : ` ${withoutConsent} more ${withoutConsent === 1 ? "is" : "are"} left out, since consent is not in force.`;
  return `Over ${trials} ${trials === 1 ? "trial" : "trials"} that ${trials === 1 ? "is" : "are"} ${what}.${left}`;
}

/** In how many trials nothing is missing, beside what is missing in all. */
export function completeSentence({ complete, lacking, missingEverywhere }: Methods): string {
  const total = complete + lacking.length;
  const what = missingEverywhere.length === 0 ? "Nothing" : "Nothing else";
  return `${what} is missing in ${complete} of ${total} ${total === 1 ? "trial" : "trials"}.`;
}

/** "the distance in the imaging record (3 trials)" */
export function lacksText(lacks: Methods["items"][number]["lacks"]): string {
  return lacks
    .map(
      ({ what, place, trials }) =>
        `${what} ${placeNames[place]} (${trials} ${trials === 1 ? "trial" : "trials"})`,
    )
    .join("; ");
}

/** The methods text alone, as it is pasted into a manuscript. */
export function plainMethods({ paragraphs }: Pick<Methods, "paragraphs">): string {
  return paragraphs.map(({ title, text }) => `${title}. ${text}`).join("\n\n");
}

/** Text and completeness as a Markdown document. What people typed is escaped, so that it stays the text that it is. */
export function markdownMethods(methods: Methods): string {
  const { title, paragraphs, items, missingEverywhere, lacking, source } = methods;
  const table = [
    "| No. | Item | Recorded | Missing | Not applicable | What is missing |",
    "| --- | --- | ---: | ---: | ---: | --- |",
    ...items.map(
      ({ number, name, recorded, missing, notApplicable, lacks }) =>
        `| ${number ?? "–"} | ${name} | ${recorded} | ${missing} | ${notApplicable} | ${escaped(lacksText(lacks))} |`,
    ),
  ];
  const everywhere =
    missingEverywhere.length === 0
      ? []
      : [`Missing in every trial: ${missingEverywhere.map(({ name }) => name).join(", ")}.`, ""];
  const trials = lacking.map(
    ({ label, missing }) => `- ${escaped(label)}: ${missing.map(({ name }) => name).join(", ")}`,
  );
  return [
    `# Methods: ${escaped(title)}`,
    "",
    scopeSentence(methods),
    "",
    ...paragraphs.flatMap((paragraph) => [`## ${paragraph.title}`, "", escaped(paragraph.text), ""]),
    "## Completeness of reporting",
    "",
    ...table,
    "",
    ...everywhere,
    ...(trials.length === 0 ? [] : ["Trials that lack something beside that:", "", ...trials, ""]),
    completeSentence(methods),
    "",
    `Source of the numbered items: ${escaped(source)}`,
    "",
  ].join("\n");
}

/** No character of a text may be taken for Markdown or HTML, nor break a row of a table. */
function escaped(text: string): string {
  return text.replace(/[\\`*_{}[\]<>#|~&]/g, (sign) => `\\${sign}`).replace(/\s+/g, " ");
}
