import { describe, expect, it } from "vitest";
import { oppositeRegion, regionById, regions, segments, sites, UnknownRegionError } from "../../src/skin";

describe("the region catalogue", () => {
  it("names every region once, by id and by label", () => {
    expect(new Set(regions.map((region) => region.id)).size).toBe(regions.length);
    expect(new Set(regions.map((region) => region.label)).size).toBe(regions.length);
  });

  it("builds each id from site, side and aspect", () => {
    for (const { id, site, side, aspect } of regions) {
      expect(id).toBe(`${site.replaceAll(" ", "-")}-${side}-${aspect}`);
    }
  });

  it("has a left region for each right one, in the mirrored segment", () => {
    for (const region of regions.filter(({ side }) => side === "right")) {
      const mirrored = oppositeRegion(region);
      expect(mirrored?.side).toBe("left");
      expect(mirrored?.segment).toBe(region.segment.replace("right", "left"));
      expect(mirrored?.glabrous).toBe(region.glabrous);
    }
  });

  it("has no opposite for a midline region", () => {
    expect(oppositeRegion(regionById("forehead-midline-anterior"))).toBeUndefined();
  });

  it("covers all seventeen segments", () => {
    expect(segments).toHaveLength(17);
    const covered = new Set(regions.map((region) => region.segment));
    expect(segments.filter((segment) => !covered.has(segment))).toEqual([]);
  });

  it("says of palms, soles, fingertips, ears and nose that they are glabrous, and of the back of the hand that it is not", () => {
    for (const id of [
      "hand-left-palmar",
      "foot-right-plantar",
      "fingertip-right-palmar",
      "ear-left-lateral",
      "nose-midline-anterior",
    ]) {
      expect(regionById(id).glabrous, id).toBe(true);
    }
    expect(regionById("hand-left-dorsal").glabrous).toBe(false);
    expect(regionById("forearm-left-anterior").glabrous).toBe(false);
  });

  it("labels regions in plain words", () => {
    expect(regionById("forearm-left-anterior").label).toBe("Left forearm, anterior");
    expect(regionById("forehead-midline-anterior").label).toBe("Forehead, midline");
    expect(regionById("nose-midline-anterior").label).toBe("Nose");
    expect(regionById("shin-right-anterior").label).toBe("Right shin");
  });

  it("holds every site that a study can name", () => {
    for (const site of [
      "forehead",
      "cheek",
      "nose",
      "ear",
      "neck",
      "chest",
      "scapula",
      "upper back",
      "abdomen",
      "lower back",
      "upper arm",
      "elbow",
      "forearm",
      "hand",
      "finger",
      "fingertip",
      "thigh",
      "knee",
      "calf",
      "shin",
      "foot",
      "toe",
      "instep",
    ]) {
      expect(sites).toContain(site);
    }
  });

  it("refuses an id that it does not hold, naming it", () => {
    expect(() => regionById("forearm-middle")).toThrow(UnknownRegionError);
    expect(() => regionById("forearm-middle")).toThrow(/regionById requires .*"forearm-middle"/);
  });
});
