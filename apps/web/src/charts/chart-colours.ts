/**
 * Every colour that a figure may use, for both schemes, as custom properties. A saved figure always takes the light
 * set, because it is going onto paper.
 *
 * Conditions: the colour-blind-safe set of Okabe & Ito (2008), "Color Universal Design", jfly.uni-koeln.de/color. On the
 * dark surface a colour too dark to be seen gives way to the set's lighter one of the same family, black to near-white.
 */
export const chartColours = {
  light: {
    "--chart-surface": "#ffffff",
    "--chart-ink": "#22211e",
    "--chart-quiet-ink": "#59564f",
    "--chart-grid": "#e6e4e0",
    "--chart-axis": "#948f87",
    "--chart-phase": "#f4f3f0",
    "--chart-member": "#948f87",
    "--chart-mark": "#59564f",
    "--chart-series-1": "#0072b2",
    "--chart-series-2": "#d55e00",
    "--chart-series-3": "#009e73",
    "--chart-series-4": "#cc79a7",
    "--chart-series-5": "#000000",
    "--chart-series-6": "#e69f00",
  },
  dark: {
    "--chart-surface": "#1d1c1a",
    "--chart-ink": "#e2e0dc",
    "--chart-quiet-ink": "#bfbcb6",
    "--chart-grid": "#383632",
    "--chart-axis": "#74716b",
    "--chart-phase": "#262521",
    "--chart-member": "#74716b",
    "--chart-mark": "#bfbcb6",
    "--chart-series-1": "#56b4e9",
    "--chart-series-2": "#e69f00",
    "--chart-series-3": "#009e73",
    "--chart-series-4": "#cc79a7",
    "--chart-series-5": "#f2f0ec",
    "--chart-series-6": "#f0e442",
  },
} as const;

export type ChartColour = keyof typeof chartColours.light;

export const ink = (colour: ChartColour): string => `var(${colour})`;
