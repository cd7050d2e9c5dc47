import { ReleaseInputError } from "./errors";
import { drawBelow, type RandomSource } from "./random-source";

/** Digits and capitals without vowels (no words by accident) and without 0, 1, L and Y (easily misread). */
const alphabet = "23456789BCDFGHJKMNPQRSTVWXZ";
const length = 4;
const room = alphabet.length ** length;

/**
 * One pseudonym per key, such as `P-7K3M`: drawn, not derived, so that it says nothing about the key, its order or
 * an earlier release. Keys are taken in code unit order, so that the order in which they arrive changes nothing.
 *
 * @param isForbidden pseudonyms that must not be given, because they are somebody's volunteer code
 */
export function drawPseudonyms(
  keys: readonly string[],
  prefix: string,
  random: RandomSource,
  isForbidden: (pseudonym: string) => boolean,
): ReadonlyMap<string, string> {
  if (keys.length > room / 2)
    throw new ReleaseInputError("keys", `more than ${room / 2} cannot be told apart`);
  const taken = new Set<string>();
  const pseudonyms = new Map<string, string>();
  for (const key of [...keys].sort()) {
    let pseudonym: string;
    do {
      pseudonym = prefix;
      for (let i = 0; i < length; i++) pseudonym += alphabet[drawBelow(random, alphabet.length)] ?? "";
    } while (taken.has(pseudonym) || isForbidden(pseudonym));
    taken.add(pseudonym);
    pseudonyms.set(key, pseudonym);
  }
  return pseudonyms;
}
