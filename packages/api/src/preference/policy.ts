import type { Preferences } from "./schema";

export const noPreferences: Preferences = {
  operator: "none",
  companionPresent: false,
  noFace: false,
  clothing: "",
  other: "",
};

/** What whoever runs a trial reads, one sentence each; empty when nothing was stated. */
export function preferencesInWords(stated: Preferences): string[] {
  const { operator, companionPresent, noFace, clothing, other } = stated;
  return [
    ...(operator === "none"
      ? []
      : [`The one who runs the trial shall be ${operator === "female" ? "a woman" : "a man"}.`]),
    ...(companionPresent ? ["Somebody of the volunteer's own choice shall be in the room."] : []),
    ...(noFace ? ["The face shall not be in any picture."] : []),
    ...(clothing === "" ? [] : [`Clothing: ${clothing}`]),
    ...(other === "" ? [] : [`Also: ${other}`]),
  ];
}
