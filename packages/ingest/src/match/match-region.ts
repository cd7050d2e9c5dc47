import {
  type Aspect,
  type Region,
  regionAt,
  regions,
  type Side,
  type Site,
  type Statistic,
} from "@acral/analysis/skin";
import {
  type AspectWord,
  aspectMeanings,
  backWordsOfLanguage,
  fillerWords,
  otherStatistics,
  sideMeanings,
  statisticMeanings,
  statisticPhrases,
} from "./feature-words";
import { wordsOf } from "./normalise-name";
import { longestSitePhrase, type SiteMeaning, siteMeanings } from "./site-words";
import { splitGluedWords } from "./split-glued-words";

/** What the words of a name say about a region; what they do not say is null. */
export interface RegionReading {
  site: SiteMeaning | null;
  side: Side | null;
  sideConfidence: number;
  aspect: Aspect | null;
  statistic: Statistic | null;
  /** A statistic that a trace cannot have, such as a median. */
  otherStatistic: string | null;
  /** Words that say nothing known. */
  unknown: string[];
}

export interface RegionMatch {
  region: Region;
  statistic: Statistic | null;
  confidence: number;
  /** Aspects that would also do, when the name states none. */
  otherAspects: Region[];
  /** Sides that would also do, when the name states none. */
  otherSides: Side[];
  vague: boolean;
  reason: string;
}

/** Usual face of a site where the name states none (common practice: the face that a camera or the weighting schemes use). */
const usualAspect: Readonly<Partial<Record<Site, Aspect>>> = {
  neck: "posterior",
  shoulder: "lateral",
  "upper arm": "lateral",
  elbow: "posterior",
  forearm: "anterior",
  wrist: "anterior",
  hand: "dorsal",
  finger: "dorsal",
  fingertip: "palmar",
  thigh: "anterior",
  knee: "anterior",
  calf: "posterior",
  ankle: "lateral",
  heel: "posterior",
  foot: "dorsal",
  toe: "whole",
};

export function readRegionWords(text: string): RegionReading {
  const reading: RegionReading = {
    site: null,
    side: null,
    sideConfidence: 1,
    aspect: null,
    statistic: null,
    otherStatistic: null,
    unknown: [],
  };
  const words = takeStatisticPhrases(wordsOf(text).flatMap(splitGluedWords), reading);
  takeSite(words, reading);
  let aspectWord: AspectWord | null = null;
  for (const [index, word] of words.entries()) {
    if (word === "") continue;
    // "5-min mean": minutes, no minimum.
    if (word === "min" && /^\d+$/.test(words[index - 1] ?? "")) {
      reading.unknown.push(`${words[index - 1]} ${word}`);
      continue;
    }
    const side = sideMeanings.get(word);
    const statistic = statisticMeanings.get(word);
    const aspect = aspectOf(word, reading.site);
    if (side !== undefined && reading.side === null && fitsLanguage(side.languages, reading.site)) {
      reading.side = side.side;
      reading.sideConfidence = side.confidence;
    } else if (statistic !== undefined && reading.statistic === null) reading.statistic = statistic;
    else if (aspect !== undefined && aspectWord === null && reading.site !== null) aspectWord = aspect;
    else if (otherStatistics.has(word)) reading.otherStatistic = word;
    else if (isUnknown(word, reading.site)) reading.unknown.push(word);
  }
  if (reading.site !== null) {
    reading.aspect =
      aspectWord === null ? (reading.site.aspect ?? null) : aspectFor(reading.site.site, aspectWord);
    reading.side ??= reading.site.side ?? null;
  }
  return reading;
}

/** The region that a reading means, or null when it names no site, or no side where the catalogue needs one. */
export function regionOf(reading: RegionReading): RegionMatch | null {
  const { site: meaning, aspect } = reading;
  if (meaning === null) return null;
  const { site } = meaning;
  const ofSite = regions.filter((region) => region.site === site);
  const side = reading.side ?? (ofSite.some((region) => region.side === "midline") ? "midline" : null);
  if (side === null) return null;
  const ofSide = ofSite.filter((region) => region.side === side);
  if (ofSide.length === 0) return null;
  const reasons = [`"${site}"`];
  let confidence = meaning.confidence * reading.sideConfidence;
  if (reading.side !== null) reasons.push(side);
  else {
    reasons.push("no side stated, so the midline");
    if (ofSite.some((region) => region.side !== "midline")) confidence *= 0.7;
  }
  let region = aspect === null ? undefined : regionAt(site, side, aspect);
  let otherAspects: Region[] = [];
  if (region !== undefined) reasons.push(`${aspect}`);
  else {
    const usual = usualAspect[site];
    region = (usual === undefined ? undefined : regionAt(site, side, usual)) ?? ofSide[0];
    if (region === undefined) return null;
    otherAspects = ofSide.filter((other) => other !== region);
    if (otherAspects.length > 0) {
      confidence *= 0.75;
      reasons.push(`no aspect stated, so the usual one, ${region.aspect}`);
    } else if (aspect !== null) {
      confidence *= 0.6;
      reasons.push(`no ${aspect} aspect in the region catalogue`);
    }
  }
  if (reading.unknown.length > 0) {
    confidence *= 0.9 ** reading.unknown.length;
    reasons.push(`not understood: ${reading.unknown.join(" ")}`);
  }
  return {
    region,
    statistic: reading.statistic,
    confidence,
    otherAspects,
    otherSides:
      reading.side !== null || site === "forehead" || site === "neck" ? [] : sidesBeside(ofSite, side),
    vague: meaning.confidence < 0.7,
    reason: reasons.join(", "),
  };
}

function sidesBeside(ofSite: readonly Region[], side: Side): Side[] {
  return [...new Set(ofSite.map((region) => region.side))].filter((other) => other !== side);
}

function isUnknown(word: string, site: SiteMeaning | null): boolean {
  if (fillerWords.has(word) || /^\d+$/.test(word)) return false;
  // "Left foot sole": the second word for the same site adds nothing.
  return site === null || siteMeanings.get(word)?.site !== site.site;
}

function aspectOf(word: string, site: SiteMeaning | null): AspectWord | undefined {
  const language = backWordsOfLanguage.get(word);
  return language !== undefined && fitsLanguage([language], site) ? "back" : aspectMeanings.get(word);
}

function fitsLanguage(languages: readonly string[] | undefined, site: SiteMeaning | null): boolean {
  if (languages === undefined) return true;
  return site?.languages.some((language) => languages.includes(language)) ?? false;
}

function takeStatisticPhrases(words: string[], reading: RegionReading): string[] {
  let joined = ` ${words.join(" ")} `;
  for (const [phrase, statistic] of statisticPhrases) {
    if (joined.includes(` ${phrase} `)) {
      joined = joined.replace(` ${phrase} `, " ");
      reading.statistic = statistic;
    }
  }
  return joined.trim().split(" ");
}

/** The longest phrase that names a site wins; of two equally long ones the surer. Its words are blanked. */
function takeSite(words: string[], reading: RegionReading): void {
  let best: { from: number; length: number; phrase: string; meaning: SiteMeaning } | null = null;
  for (let from = 0; from < words.length; from++) {
    for (let length = Math.min(longestSitePhrase, words.length - from); length >= 1; length--) {
      const phrase = words.slice(from, from + length).join(" ");
      const meaning = siteMeanings.get(phrase);
      if (meaning === undefined) continue;
      if (best === null || rank(phrase, meaning) > rank(best.phrase, best.meaning))
        best = { from, length, phrase, meaning };
      break;
    }
  }
  if (best === null) return;
  reading.site = best.meaning;
  words.fill("", best.from, best.from + best.length);
}

function rank(phrase: string, meaning: SiteMeaning): number {
  // "Front thigh", "fingertip palm": a word that can also be an aspect is one when another site is named.
  const alsoAspect = aspectMeanings.has(phrase) || meaning.confidence < 0.6 ? -0.6 : 0;
  return (
    phrase.split(" ").length + meaning.confidence + alsoAspect + (meaning.aspect === undefined ? 0 : 0.1)
  );
}

/** Hands and feet have palmar, plantar and dorsal faces, limbs anterior and posterior ones. */
function aspectFor(site: Site, word: AspectWord): Aspect {
  const handLike = site === "hand" || site === "finger" || site === "fingertip";
  const footLike = site === "foot" || site === "toe" || site === "instep" || site === "heel";
  switch (word) {
    case "front":
      return handLike ? "palmar" : footLike ? "dorsal" : "anterior";
    case "back":
      return handLike ? "dorsal" : footLike && site !== "heel" ? "plantar" : "posterior";
    case "inner":
      return handLike ? "palmar" : "medial";
    case "outer":
      return handLike ? "dorsal" : "lateral";
    case "dorsal":
      return handLike || footLike ? "dorsal" : "posterior";
    case "palmar":
      return handLike ? "palmar" : "anterior";
    default:
      return word;
  }
}
