import type { ConflictingField } from "@/components/unsaved-conflict";
import type { Content, ProtocolVersion } from "./draft-form";
import { durationText, imagingItems, limitText, regionRows } from "./words";

/** The parts of two contents that differ, as text to compare. */
export function conflictRows(
  mine: Content,
  theirs: Content,
  reportingItems: ProtocolVersion["reportingItems"],
): ConflictingField[] {
  const parts: readonly { label: string; text: (content: Content) => string }[] = [
    {
      label: "Phases",
      text: ({ phases }) =>
        phases.map((phase) => `${phase.name}: ${phase.kind}, ${durationText(phase.durationS)}`).join("\n"),
    },
    { label: "Exercise load", text: ({ exerciseLoad }) => exerciseLoad },
    {
      label: "Conditions",
      text: ({ conditions }) =>
        conditions.map(({ name, description }) => `${name}: ${description}`).join("\n"),
    },
    { label: "Occasions", text: ({ occasions }) => String(occasions) },
    {
      label: "Regions",
      text: ({ regions }) =>
        regionRows(regions)
          .map((row) => `${row.label}: ${row.statistics.join(", ")}`)
          .join("\n"),
    },
    {
      label: "Room limits",
      text: ({ roomLimits }) =>
        [
          limitText(roomLimits.airTemperatureC.min, roomLimits.airTemperatureC.max, "°C"),
          limitText(
            roomLimits.meanRadiantTemperatureC.min,
            roomLimits.meanRadiantTemperatureC.max,
            "°C radiant",
          ),
          limitText(roomLimits.relativeHumidityPct.min, roomLimits.relativeHumidityPct.max, "%"),
          limitText(null, roomLimits.airSpeedMS.max, "m/s"),
        ].join("\n"),
    },
    {
      label: "Imaging set-up",
      text: ({ imaging }) =>
        imagingItems(imaging, reportingItems)
          .map((item) => `${item.label}: ${item.value}`)
          .join("\n"),
    },
    { label: "Pre-visit rules", text: ({ preVisitRules }) => preVisitRules.join("\n") },
    { label: "Stop criteria", text: ({ stopCriteria }) => stopCriteria.join("\n") },
    { label: "Planned outcomes", text: ({ plannedOutcomes }) => plannedOutcomes.join("\n") },
  ];
  return parts
    .map(({ label, text }) => ({ label, mine: text(mine), theirs: text(theirs) }))
    .filter((row) => row.mine !== row.theirs);
}
