import type { MantineColorsTuple } from "@mantine/core";

/** The one accent: petrol, dark enough to be read as ink on paper and light enough as ink on slate. */
export const petrol: MantineColorsTuple = [
  "#e9f4f4",
  "#d3e6e7",
  "#a9cfd1",
  "#7bb8bb",
  "#57a5a9",
  "#3b9398",
  "#26787d",
  "#1b666b",
  "#12565b",
  "#08454a",
];

/** Neutral greys with the faint warmth of paper. */
export const paper: MantineColorsTuple = [
  "#f8f7f5",
  "#f1f0ed",
  "#e6e4e0",
  "#d5d2cc",
  "#bab6af",
  "#948f87",
  "#75716a",
  "#59564f",
  "#3f3d38",
  "#262522",
];

/** The same greys for the dark scheme, from text (0) to the deepest surface (9). */
export const slate: MantineColorsTuple = [
  "#e2e0dc",
  "#bfbcb6",
  "#9c9992",
  "#74716b",
  "#4a4844",
  "#383632",
  "#2a2926",
  "#1d1c1a",
  "#171614",
  "#100f0e",
];

/** Only for what stops a person. */
export const stop: MantineColorsTuple = [
  "#fdf0ee",
  "#f9dcd8",
  "#f3b8b1",
  "#ef9a90",
  "#e77468",
  "#d9503f",
  "#b8301f",
  "#a52818",
  "#8e2114",
  "#6f180d",
];
