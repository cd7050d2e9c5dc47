import { DEFAULT_THEME, mergeMantineTheme } from "@mantine/core";
import { describe, expect, it } from "vitest";
import { petrol, stop } from "./colours";
import { cssVariables, theme } from "./theme";

/** Contrast of two colours as WCAG 2.2 defines it (relative luminance, sRGB). */
function contrast(one: string, other: string): number {
  const luminance = (hex: string) => {
    const [red = 0, green = 0, blue = 0] = [1, 3, 5]
      .map((start) => Number.parseInt(hex.slice(start, start + 2), 16) / 255)
      .map((share) => (share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4));
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  };
  const [light, dark] = [luminance(one), luminance(other)].sort((a, b) => b - a);
  return ((light ?? 0) + 0.05) / ((dark ?? 0) + 0.05);
}

const variables = cssVariables(mergeMantineTheme(DEFAULT_THEME, theme));

describe("the contrast formula", () => {
  it("gives the two values that WCAG names", () => {
    expect(contrast("#000000", "#ffffff")).toBeCloseTo(21, 10);
    // The lightest grey that passes on white, as given by W3C's note G18 examples of 4.5:1: #767676.
    expect(contrast("#767676", "#ffffff")).toBeCloseTo(4.54, 2);
  });
});

describe.each(["light", "dark"] as const)("the %s scheme", (scheme) => {
  const colour = (name: string) => {
    const value = Object.entries(variables[scheme]).find(([known]) => known === name)?.[1];
    if (value === undefined) throw new Error(`${name} is not set in the ${scheme} scheme`);
    return value;
  };
  const grounds = ["--mantine-color-body", "--acral-quiet", "--acral-hover", "--acral-chosen"];

  it.each([
    "--mantine-color-text",
    "--mantine-color-dimmed",
    "--mantine-color-anchor",
    "--mantine-color-error",
  ])("has %s readable on every ground (4.5 to 1)", (text) => {
    for (const ground of grounds) expect(contrast(colour(text), colour(ground))).toBeGreaterThanOrEqual(4.5);
  });

  it("writes white on a filled button readably", () => {
    const shade = scheme === "light" ? 7 : 6;
    expect(theme.primaryShade).toMatchObject({ [scheme]: shade });
    for (const family of [petrol, stop])
      expect(contrast("#ffffff", family[shade] ?? "")).toBeGreaterThanOrEqual(4.5);
  });

  it("shows the edges of fields and the ring around what has the focus (3 to 1)", () => {
    for (const name of ["--mantine-color-default-border", "--acral-accent"]) {
      for (const ground of ["--mantine-color-body", "--acral-quiet"]) {
        expect(contrast(colour(name), colour(ground))).toBeGreaterThanOrEqual(3);
      }
    }
  });

  it("draws the first five conditions so that they stand out from the ground (3 to 1)", () => {
    for (const index of [1, 2, 3, 4, 5]) {
      expect(contrast(colour(`--chart-series-${index}`), colour("--chart-surface"))).toBeGreaterThanOrEqual(
        3,
      );
    }
  });

  it("writes the words of a figure readably on its phases", () => {
    for (const name of ["--chart-ink", "--chart-quiet-ink"]) {
      expect(contrast(colour(name), colour("--chart-phase"))).toBeGreaterThanOrEqual(4.5);
    }
  });
});
