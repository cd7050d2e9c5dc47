export const identityFields = ["name", "contact", "dateOfBirth"] as const;
export type IdentityField = (typeof identityFields)[number];
export type IdentityValues = Readonly<Record<IdentityField, string>>;

/** What people call the fields. */
export const fieldNames: Readonly<Record<IdentityField, string>> = {
  name: "name",
  contact: "contact",
  dateOfBirth: "date of birth",
};

/** The fields that a save changes. */
export function changedFields(before: IdentityValues, after: IdentityValues): IdentityField[] {
  return identityFields.filter((field) => before[field] !== after[field]);
}

/** Words shorter than this are too common to point at a person ("de", "Li" in "Listen"). */
const shortestTellingWord = 3;

/**
 * Whether a text that others will read (a reason, a note) holds a word of the name, the contact, or the date of birth.
 * Whole words only, so that "Rose" does not forbid "rose bush" being "arose".
 */
export function namesPerson(text: string, identity: Partial<IdentityValues>): boolean {
  const words = new Set(wordsOf(text));
  const telling = [identity.name ?? "", identity.contact ?? ""]
    .flatMap(wordsOf)
    .filter((word) => [...word].length >= shortestTellingWord);
  const dateOfBirth = identity.dateOfBirth ?? "";
  return telling.some((word) => words.has(word)) || (dateOfBirth !== "" && text.includes(dateOfBirth));
}

function wordsOf(text: string): string[] {
  return text
    .normalize("NFKC")
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== "");
}

/** Whether a date of birth and a birth year speak of the same year; an absent one contradicts nothing. */
export function agreesWithBirthYear(dateOfBirth: string, birthYear: number | null): boolean {
  return dateOfBirth === "" || birthYear === null || dateOfBirth.startsWith(`${birthYear}-`);
}
