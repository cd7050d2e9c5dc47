import { knownUnit } from "../units";

export interface NameAndUnit {
  /** The name without its unit. */
  name: string;
  /** The unit as written; null when none is stated. */
  unit: string | null;
  /** Whether it is one that some target can have. */
  known: boolean;
}

const timeUnit =
  /^(s|sec|secs|seconds?|sek|sekunden?|segundos?|seg|secondi|secondes?|ms|msec|milliseconds?|min|mins|minutes?|minuten?|minutos?|minuti|h|hours?)$/i;

/** No column name is longer; what is, is no name, and not worth the time of the patterns below. */
const longestName = 200;

/** A unit in brackets, behind a slash or comma, or written out: "Hand L [°C]", "hand_l_degC", "Time / s". */
export function splitUnit(text: string): NameAndUnit {
  if (text.length > longestName) return { name: text, unit: null, known: false };
  const bracket = /^(.*?)\s*[([{]\s*([^()[\]{}]*?)\s*[)\]}]\s*(.*)$/.exec(text);
  if (bracket !== null) {
    const [, before = "", inside = "", after = ""] = bracket;
    const known = knownUnit(inside) !== null || timeUnit.test(inside);
    if (known) return { name: `${before} ${after}`.trim(), unit: inside, known: true };
    // A second pair of brackets may hold the unit: "Hand (L) [°C]".
    const rest = splitUnit(after);
    if (rest.unit !== null && rest.known)
      return { name: `${before} (${inside}) ${rest.name}`.trim(), unit: rest.unit, known: true };
    if (looksLikeUnit(inside)) return { name: `${before} ${after}`.trim(), unit: inside, known: false };
    return { name: text, unit: null, known: false };
  }
  // Quantity over unit, as in "t/s": a letter that is ambiguous elsewhere is the unit behind the name of the time.
  const overUnit = /^(t|time|zeit|temps|tiempo|tempo|tijd|elapsed|dauer)\/(\p{L}+)$/iu.exec(text);
  if (overUnit?.[1] !== undefined && overUnit[2] !== undefined && timeUnit.test(overUnit[2]))
    return { name: overUnit[1], unit: overUnit[2], known: true };
  const written =
    /^(.*?)[\s_,/.-]*\b((?:deg(?:ree)?s?[\s_.]?|grad[\s_.]?|°\s?)(?:c|f|k|celsius|fahrenheit)|celsius|fahrenheit|kelvin)$/i.exec(
      text,
    ) ??
    /^(.*?)[\s_,/-]*([°º˚℃℉]\s?[CFK]?)$/iu.exec(text) ??
    /^(.*?)\s*(?:\s\/|,|\sin)\s*([^\s,]+)$/.exec(text) ??
    /^(.*?)[\s_]([a-zA-Z%]+(?:\/min|\/s|\/h)?)$/.exec(text);
  if (written !== null) {
    const [, name = "", unit = ""] = written;
    const known = knownUnit(unit) !== null || timeUnit.test(unit);
    if (known && !ambiguousWord.test(unit)) return { name, unit, known: true };
  }
  if (knownUnit(text) !== null && !ambiguousWord.test(text)) return { name: "", unit: text, known: true };
  if (timeUnit.test(text.trim()) && !/^(min|h)$/i.test(text.trim()))
    return { name: "", unit: text.trim(), known: true };
  const foreign = /^(.*?)[\s_,/]+([°º˚]\s?\p{L}+|[mµμk]?[VAΩ]|ohms?|mbar|[hk]?Pa|psi)$/u.exec(text);
  if (foreign !== null) return { name: foreign[1] ?? "", unit: foreign[2] ?? "", known: false };
  return { name: text, unit: null, known: false };
}

/** Words that are units, but as the last word of a name more often a statistic or a channel. */
const ambiguousWord = /^(min|mins|minutes|puls\/min|power|watt|watts|rpm|bpm|h|s|rh%?)$/i;

/** Short bracket contents with a unit's look that no target knows: "[mV]", "(°R)", "[psi]". */
function looksLikeUnit(text: string): boolean {
  if (
    /^(left|right|links|rechts|mean|max|min|avg|std|sd|ant|post|med|lat|li|re|l|r|dors?|palm|volar|sx|dx|g|d)\.?$/i.test(
      text,
    )
  )
    return false;
  return /^[°ºµμ]?[a-zA-ZΩ]{1,4}(\/[a-zA-Z]{1,4}|[-−]?\d)?$/.test(text) || /^°/.test(text);
}
