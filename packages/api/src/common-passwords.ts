import { dictionary } from "@zxcvbn-ts/language-common";

/** The 49,000 most common passwords of published breaches, in lower case (the list of @zxcvbn-ts/language-common, MIT). */
const known: ReadonlySet<string> = new Set(dictionary["passwords-common"].map((word) => word.toLowerCase()));

export function isCommonPassword(word: string): boolean {
  return known.has(word.toLowerCase());
}
