import type { Channel } from "../channels";
import type { ColumnUse } from "../column-map";
import type { DoubtKind } from "../detection";
import { channelMeanings, placeWords } from "./channel-words";
import { readRegionWords, regionOf } from "./match-region";
import { plainText, wordsOf } from "./normalise-name";
import { splitUnit } from "./split-unit";

export interface NameDoubt {
  kind: DoubtKind;
  guessed: string;
  alternatives: string[];
  reason: string;
}

/** What a column's name says it holds. */
export interface NameMatch {
  use: Extract<ColumnUse, { kind: "region" | "channel" | "ignore" }>;
  /** The unit as written, or null. */
  unit: string | null;
  confidence: number;
  reason: string;
  doubts: NameDoubt[];
}

/** Context that the whole file gives to one name. */
export interface NameContext {
  /** The statistic of columns that state none, when the file is a contact logger's or says so in its preamble. */
  defaultStatistic: "mean" | "point";
}

/** What lies beyond is no name, and looking for phrases in it would take for ever. */
const longestName = 200;

/** Matches one name (the header texts of a column, top down, or the key texts of a series) to a region or a channel. */
export function matchColumn(parts: readonly string[], context: NameContext): NameMatch {
  const split = parts.map(splitUnit);
  const unit = split.map((part) => part.unit).findLast((part) => part !== null) ?? null;
  const name = split
    .map((part) => part.name)
    .filter((part) => part !== "")
    .join(" ")
    .slice(0, longestName);
  const region = matchRegionName(name, context);
  const channel = matchChannelName(name, unit);
  if (
    channel !== null &&
    (region === null || channel.confidence > region.confidence || region.use.kind === "ignore")
  ) {
    return { ...channel, unit };
  }
  if (region !== null) return { ...region, unit };
  return {
    use: { kind: "ignore" },
    unit,
    confidence: 0,
    reason: name === "" ? "the column has no name" : `"${name}" names no region or channel that is known`,
    doubts: [],
  };
}

type Named = Omit<NameMatch, "unit">;

function matchRegionName(name: string, context: NameContext): Named | null {
  const reading = readRegionWords(name);
  if (reading.site === null) return null;
  const match = regionOf(reading);
  if (match === null) {
    return {
      use: { kind: "ignore" },
      confidence: 0.3,
      reason: `"${reading.site.site}" without a side`,
      doubts: [
        {
          kind: "side",
          guessed: "left out",
          alternatives: ["left", "right"],
          reason: `The name says "${reading.site.site}", but not left or right.`,
        },
      ],
    };
  }
  if (reading.otherStatistic !== null) {
    return {
      use: { kind: "ignore" },
      confidence: 0.3,
      reason: `"${reading.otherStatistic}" is not a statistic that a trace can have`,
      doubts: [
        {
          kind: "statistic",
          guessed: "left out",
          alternatives: ["mean", "maximum", "minimum", "standard deviation", "point"],
          reason: `"${reading.otherStatistic}" is not a statistic that a trace can have.`,
        },
      ],
    };
  }
  const doubts: NameDoubt[] = [];
  let { confidence, reason } = match;
  const statistic = match.statistic ?? context.defaultStatistic;
  if (match.statistic === null) {
    confidence *= 0.8;
    reason += `, no statistic stated, so ${statistic}`;
    doubts.push({
      kind: "statistic",
      guessed: statistic,
      alternatives: ["mean", "maximum", "minimum", "point"].filter((other) => other !== statistic),
      reason:
        "The name does not say whether it is the mean, maximum or minimum of the region, or a single point.",
    });
  }
  if (match.otherAspects.length > 0) {
    doubts.push({
      kind: "aspect",
      guessed: match.region.aspect,
      alternatives: match.otherAspects.map((other) => other.aspect),
      reason: "The name does not say which face of the body part it is.",
    });
  }
  if (match.otherSides.length > 0) {
    doubts.push({
      kind: "side",
      guessed: match.region.side,
      alternatives: match.otherSides,
      reason: `The name says "${match.region.site}", but not on which side.`,
    });
  }
  if (match.vague || reading.unknown.length > 0 || confidence < 0.5) {
    doubts.push({
      kind: "region",
      guessed: match.region.label,
      alternatives: [],
      reason: match.vague
        ? `The name is vague: "${name}".`
        : reading.unknown.length > 0
          ? `Part of the name was not understood: "${reading.unknown.join(" ")}".`
          : `The name is hardly recognised: "${name}".`,
    });
  }
  return {
    use: { kind: "region", regionId: match.region.id, statistic },
    confidence: Math.round(confidence * 100) / 100,
    reason,
    doubts,
  };
}

function matchChannelName(name: string, unit: string | null): Named | null {
  const words = plainText(name) === "" ? [] : wordsOf(name);
  const camelless = plainText(name)
    .split(/[^a-z0-9]+/)
    .filter((word) => word !== "");
  let best: {
    length: number;
    channel: NonNullable<ReturnType<typeof channelMeanings.get>>;
    phrase: string;
    left: number;
  } | null = null;
  for (const list of [words, camelless]) {
    for (let from = 0; from < list.length; from++) {
      for (let length = list.length - from; length >= 1; length--) {
        const phrase = list.slice(from, from + length).join(" ");
        const channel = channelMeanings.get(phrase);
        if (channel === undefined) continue;
        if (best === null || channelRank(phrase) > channelRank(best.phrase))
          best = { length, channel, phrase, left: list.length - length };
        break;
      }
    }
  }
  if (best === null) return null;
  const { phrase } = best;
  const channel = placeWords.has(phrase) ? atPlace(unit) : best.channel.channel;
  const confidence = Math.round(best.channel.confidence * 0.9 ** best.left * 100) / 100;
  const doubts: NameDoubt[] =
    confidence < 0.7
      ? [
          {
            kind: "region",
            guessed: channel,
            alternatives: ["left out"],
            reason: `The name is hardly recognised: "${name}".`,
          },
        ]
      : [];
  return {
    use: { kind: "channel", channel },
    confidence,
    reason: `"${phrase}" names the channel ${channel}`,
    doubts,
  };
}

/** Longer phrases say more; one that only says where it was measured says least. */
function channelRank(phrase: string): number {
  return phrase.length - (placeWords.has(phrase) ? 1000 : 0);
}

/** What is measured at a place that only its unit tells: "Room (%)", "Air (m/s)". */
function atPlace(unit: string | null): Channel {
  if (unit === null) return "air temperature";
  if (unit.startsWith("%")) return "relative humidity";
  return unit === "m/s" ? "air speed" : "air temperature";
}
