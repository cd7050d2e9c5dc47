import { defaultDisclosureRule } from "./disclosure-rule";
import { readme } from "./readme";
import { fixedTables } from "./table";

/** All fixed text of a package: what it would say of an empty study. */
export function ownWords(): string {
  const nothing = {
    study: { title: "", summary: "" },
    release: { number: 1, createdOn: "", licence: { name: "", title: "", path: "" } },
    protocol: { version: 1, phases: [], conditions: [], regions: [] },
    report: {
      fingerprint: "",
      rule: defaultDisclosureRule,
      refusals: [],
      warnings: [],
      volunteers: { offered: 0, released: 0 },
      trials: { offered: 0, released: 0 },
      leftOut: [],
      before: { smallestGroup: 0, uniqueVolunteers: 0 },
      after: null,
      columns: [],
      loss: 0,
      withoutLeavingOut: null,
      groups: [],
      withheld: [],
      remainingRisks: [],
    },
    withheldTraces: [],
  };
  return `${readme(nothing)} ${JSON.stringify(fixedTables)}`;
}
