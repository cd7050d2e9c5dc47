import { regionById } from "@acral/analysis/skin";
import type { ProtocolContent } from "../protocol/schema";
import type { InvitationTexts } from "./schema";

const minutes = (seconds: number) => {
  const whole = Math.round(seconds / 60);
  return whole === 1 ? "1 minute" : `${whole} minutes`;
};

function roomLine({ airTemperatureC: { min, max } }: ProtocolContent["roomLimits"]): string {
  if (min !== null && max !== null) return `The air in the room is at ${min} to ${max} °C.`;
  if (min !== null) return `The air in the room is at ${min} °C or warmer.`;
  return max === null ? "" : `The air in the room is at ${max} °C or cooler.`;
}

/** So many phases or regions are named one by one. */
const mostNamed = 24;

/**
 * A draft for each answer, out of what the protocol in force says already. What only the people of the study know stands in
 * [[double brackets]], and is to be filled in.
 */
export function offeredTexts(title: string, content: ProtocolContent | null): InvitationTexts {
  const phases = content?.phases ?? [];
  const visitS = phases.reduce((sum, phase) => sum + phase.durationS, 0);
  const visits = (content?.conditions.length ?? 0) * (content?.occasions ?? 0);
  const regions = [...new Set((content?.regions ?? []).map(({ regionId }) => regionById(regionId).label))];
  const lines = (...texts: readonly string[]) => texts.filter((text) => text !== "").join("\n\n");
  return {
    about: lines(
      `You are invited to take part in “${title}”.`,
      "We want to find out [[the question, in two sentences]].",
    ),
    seen: lines(
      regions.length === 0
        ? "A thermal camera shows how warm your skin is. It sees [[which parts of the body]]."
        : "A thermal camera shows how warm your skin is at these places:",
      regions
        .slice(0, mostNamed)
        .map((label) => `- ${label}`)
        .join("\n"),
      regions.length > mostNamed ? `and at ${regions.length - mostNamed} more.` : "",
      "Such pictures show the shape of the body. [[Whether ordinary pictures are taken as well.]]",
    ),
    worn: "You wear [[what, and what stays uncovered]]. Nobody undresses in front of others: [[where you change]].",
    measured: lines(
      "[[What is measured beside the temperature of the skin, and by what.]]",
      (content?.conditions.length ?? 0) < 2
        ? ""
        : `What is compared: ${content?.conditions.map(({ name }) => name).join(", ")}.`,
    ),
    duration: lines(
      phases.length === 0
        ? "One visit takes [[how long]]."
        : `One visit takes about ${minutes(visitS)} of recording, and [[how long]] before and after it:`,
      phases
        .slice(0, mostNamed)
        .map(({ name, durationS }) => `- ${name}: ${minutes(durationS)}`)
        .join("\n"),
      visits > 1 ? `There are ${visits} such visits.` : "",
    ),
    room: lines(
      "In the room are [[who, and what they do there]]. You may bring somebody, and you may say whether a woman or a man shall run the trial.",
      content === null ? "" : roomLine(content.roomLimits),
    ),
    kept: "Your name is kept apart from the recordings, encrypted. The recordings are kept under a code for [[how long]].",
    shown:
      "The recordings are seen by [[who]]. What is published holds no name. You decide separately on pictures, on sharing and on later contact.",
    risks: lines(
      "Exercise in the heat is hard on the body. Before it you are asked about your health, and sometimes a doctor has to agree.",
      "[[What can happen, and what is done then.]]",
    ),
    sayNo:
      "Say no now, say nothing, or stop in the middle: you need no reason and nothing bad follows. What you allowed you can take back later, [[how]].",
    contact: "[[Who answers questions, and how they are reached.]]",
  };
}

/** What is left to be filled in, by question. */
export function stillOpen(texts: InvitationTexts): string[] {
  return Object.values(texts).flatMap((text) => [...text.matchAll(/\[\[[^\]]*\]\]/g)].map(([open]) => open));
}
