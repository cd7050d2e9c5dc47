import { AnalysisError } from "../analysis-error";
import type { Aspect, Region, Side, Site } from "./region";
import type { Segment } from "./segment";

type PairedSegment = "upper arm" | "forearm" | "hand" | "thigh" | "leg" | "foot";

interface SiteEntry {
  readonly site: Site;
  readonly sides: readonly Side[];
  readonly aspects: readonly Aspect[];
  /** A single segment, or the name of a pair of which the region's side chooses one. */
  readonly segment: Segment | PairedSegment;
  /** The aspects of glabrous skin; absent means none. */
  readonly glabrous?: readonly Aspect[];
}

const both: readonly Side[] = ["left", "right"];
const bothAndMidline: readonly Side[] = ["left", "right", "midline"];

/**
 * Where a site lies between two segments (abdomen and lower back between trunk and pelvis, elbow, wrist, knee, ankle),
 * its segment here is a decision of this catalogue (common practice), not of a standard.
 */
const entries: readonly SiteEntry[] = [
  { site: "forehead", sides: bothAndMidline, aspects: ["anterior"], segment: "head" },
  { site: "temple", sides: both, aspects: ["lateral"], segment: "head" },
  { site: "cheek", sides: both, aspects: ["anterior"], segment: "head" },
  { site: "nose", sides: ["midline"], aspects: ["anterior"], segment: "head", glabrous: ["anterior"] },
  { site: "ear", sides: both, aspects: ["lateral"], segment: "head", glabrous: ["lateral"] },
  { site: "neck", sides: ["midline"], aspects: ["anterior", "posterior"], segment: "neck" },
  { site: "neck", sides: both, aspects: ["lateral", "posterior"], segment: "neck" },
  { site: "chest", sides: bothAndMidline, aspects: ["anterior"], segment: "chest" },
  { site: "scapula", sides: both, aspects: ["posterior"], segment: "back" },
  { site: "upper back", sides: bothAndMidline, aspects: ["posterior"], segment: "back" },
  { site: "abdomen", sides: bothAndMidline, aspects: ["anterior"], segment: "pelvis" },
  { site: "lower back", sides: bothAndMidline, aspects: ["posterior"], segment: "pelvis" },
  { site: "buttock", sides: both, aspects: ["posterior"], segment: "pelvis" },
  { site: "shoulder", sides: both, aspects: ["anterior", "posterior", "lateral"], segment: "upper arm" },
  {
    site: "upper arm",
    sides: both,
    aspects: ["anterior", "posterior", "medial", "lateral", "whole"],
    segment: "upper arm",
  },
  { site: "elbow", sides: both, aspects: ["anterior", "posterior", "lateral"], segment: "forearm" },
  {
    site: "forearm",
    sides: both,
    aspects: ["anterior", "posterior", "medial", "lateral", "whole"],
    segment: "forearm",
  },
  { site: "wrist", sides: both, aspects: ["anterior", "posterior"], segment: "forearm" },
  {
    site: "hand",
    sides: both,
    aspects: ["palmar", "dorsal", "whole"],
    segment: "hand",
    glabrous: ["palmar"],
  },
  {
    site: "finger",
    sides: both,
    aspects: ["palmar", "dorsal", "whole"],
    segment: "hand",
    glabrous: ["palmar"],
  },
  {
    site: "fingertip",
    sides: both,
    aspects: ["palmar", "dorsal", "whole"],
    segment: "hand",
    glabrous: ["palmar", "dorsal", "whole"],
  },
  {
    site: "thigh",
    sides: both,
    aspects: ["anterior", "posterior", "medial", "lateral", "whole"],
    segment: "thigh",
  },
  { site: "knee", sides: both, aspects: ["anterior", "posterior", "medial", "lateral"], segment: "leg" },
  { site: "calf", sides: both, aspects: ["posterior", "medial", "lateral", "whole"], segment: "leg" },
  { site: "shin", sides: both, aspects: ["anterior"], segment: "leg" },
  { site: "ankle", sides: both, aspects: ["anterior", "medial", "lateral"], segment: "leg" },
  { site: "heel", sides: both, aspects: ["posterior", "plantar"], segment: "foot", glabrous: ["plantar"] },
  {
    site: "foot",
    sides: both,
    aspects: ["dorsal", "plantar", "whole"],
    segment: "foot",
    glabrous: ["plantar"],
  },
  {
    site: "toe",
    sides: both,
    aspects: ["dorsal", "plantar", "whole"],
    segment: "foot",
    glabrous: ["plantar", "whole"],
  },
  { site: "instep", sides: both, aspects: ["dorsal"], segment: "foot" },
];

function segmentOf(entry: SiteEntry, side: Side): Segment {
  switch (entry.segment) {
    case "upper arm":
    case "forearm":
    case "hand":
    case "thigh":
    case "leg":
    case "foot":
      return side === "right" ? `right ${entry.segment}` : `left ${entry.segment}`;
    default:
      return entry.segment;
  }
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** An aspect or "midline" is named only where the site has more than one of them. */
function labelOf(site: Site, side: Side, aspect: Aspect): string {
  const ofSite = entries.filter((entry) => entry.site === site);
  const aspects = new Set(ofSite.flatMap((entry) => entry.aspects));
  const sides = new Set(ofSite.flatMap((entry) => entry.sides));
  const words = [capitalised(side === "midline" ? site : `${side} ${site}`)];
  if (side === "midline" && sides.size > 1) words.push("midline");
  if (aspects.size > 1) words.push(aspect);
  return words.join(", ");
}

function regionId(site: Site, side: Side, aspect: Aspect): string {
  return `${site.replaceAll(" ", "-")}-${side}-${aspect}`;
}

/** The region catalogue: every skin site that a trace can belong to, head to toe. */
export const regions: readonly Region[] = entries.flatMap((entry) =>
  entry.sides.flatMap((side) =>
    entry.aspects.map((aspect) => ({
      id: regionId(entry.site, side, aspect),
      site: entry.site,
      side,
      aspect,
      segment: segmentOf(entry, side),
      label: labelOf(entry.site, side, aspect),
      glabrous: entry.glabrous?.includes(aspect) ?? false,
    })),
  ),
);

/** Every site of the catalogue once, head to toe. */
export const sites: readonly Site[] = [...new Set(entries.map((entry) => entry.site))];

const byId: ReadonlyMap<string, Region> = new Map(regions.map((region) => [region.id, region]));

/** The region id is in no entry of the region catalogue. */
export class UnknownRegionError extends AnalysisError {
  override readonly name = "UnknownRegionError";
  readonly regionId: string;

  constructor(functionName: string, argument: string, regionId: string) {
    super(
      "unknown",
      functionName,
      argument,
      `a region of the region catalogue; it has none named "${regionId}"`,
    );
    this.regionId = regionId;
  }
}

/** The region of that id. Throws UnknownRegionError when there is none. */
export function regionById(id: string): Region {
  const region = byId.get(id);
  if (region === undefined) throw new UnknownRegionError("regionById", "id", id);
  return region;
}

/** Whether the region catalogue holds that id. */
export function isRegionId(id: string): boolean {
  return byId.has(id);
}

/** The region at a site, side and aspect, or undefined when the catalogue has none. */
export function regionAt(site: Site, side: Side, aspect: Aspect): Region | undefined {
  return byId.get(regionId(site, side, aspect));
}

/** The same site and aspect on the other side, or undefined for a midline region. */
export function oppositeRegion(region: Region): Region | undefined {
  if (region.side === "midline") return undefined;
  return regionAt(region.site, region.side === "left" ? "right" : "left", region.aspect);
}
