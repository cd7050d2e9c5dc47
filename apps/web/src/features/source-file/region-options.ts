import { regions, sites } from "@acral/analysis/skin";

/** The region catalogue for a searchable choice, grouped by site. */
export const regionOptions = sites.map((site) => ({
  group: site,
  items: regions
    .filter((region) => region.site === site)
    .map((region) => ({ value: region.id, label: region.label })),
}));
