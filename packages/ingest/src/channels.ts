/** Series that are not skin temperature. */
export const channels = [
  "heart rate",
  "power",
  "core temperature",
  "air temperature",
  "mean radiant temperature",
  "relative humidity",
  "air speed",
  "reference surface temperature",
  "cadence",
  "speed",
  "oxygen uptake",
  "carbon dioxide output",
  "ventilation",
  "respiratory rate",
] as const;

export type Channel = (typeof channels)[number];
