import { aspectMeanings, sideMeanings, statisticMeanings } from "./feature-words";
import { siteMeanings } from "./site-words";

function isFeature(word: string): boolean {
  return sideMeanings.has(word) || aspectMeanings.has(word) || statisticMeanings.has(word);
}

function isKnown(word: string): boolean {
  return siteMeanings.has(word) || isFeature(word);
}

/** "lefthand", "handlinks", "rforearm": two known words written as one; any other word stays whole. */
export function splitGluedWords(word: string): string[] {
  if (word.length < 4 || isKnown(word)) return [word];
  for (let at = word.length - 1; at >= 1; at--) {
    const first = word.slice(0, at);
    const second = word.slice(at);
    if (siteMeanings.has(first) && first.length >= 3 && isFeature(second) && second.length !== 2)
      return [first, second];
    if (isFeature(first) && siteMeanings.has(second) && second.length >= 3) return [first, second];
  }
  return [word];
}
