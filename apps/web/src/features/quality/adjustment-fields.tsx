"use client";

import { MultiSelect, NativeSelect, SegmentedControl } from "@mantine/core";
import { NumberField } from "@/components/number-field";
import type { AdjustmentDraft } from "./adjustment-draft";
import classes from "./quality.module.css";

export interface SeriesOption {
  /** As adjustments name it. */
  readonly value: string;
  readonly label: string;
  readonly isTemperature: boolean;
}

interface AdjustmentFieldsProps {
  readonly draft: AdjustmentDraft;
  readonly onChange: (draft: AdjustmentDraft) => void;
  readonly series: readonly SeriesOption[];
}

/** The numbers of an adjustment, by its kind. */
export function AdjustmentFields({ draft, onChange, series }: AdjustmentFieldsProps) {
  switch (draft.kind) {
    case "reference drift":
      return (
        <>
          <NativeSelect
            label="Series that shows the reference surface"
            value={draft.reference ?? ""}
            data={[
              { value: "", label: "choose" },
              ...series
                .filter(({ isTemperature }) => isTemperature)
                .map(({ value, label }) => ({ value, label })),
            ]}
            onChange={(event) => {
              const reference = event.currentTarget.value;
              onChange({ ...draft, reference: reference === "" ? null : reference });
            }}
          />
          <NumberField
            label="What the surface really had"
            unit="°C"
            value={draft.trueC}
            onChange={(trueC) => onChange({ ...draft, trueC })}
            width="100%"
          />
          <NumberField
            label="Offset taken as a mean over"
            description="So that the noise of the surface is not written into the skin."
            unit="s"
            digits={1}
            value={draft.smoothingS}
            onChange={(smoothingS) => onChange({ ...draft, smoothingS })}
            width="100%"
          />
        </>
      );
    case "common step":
      return (
        <>
          <NumberField
            label="First moment after the step"
            unit="s"
            digits={3}
            value={draft.atS}
            onChange={(atS) => onChange({ ...draft, atS })}
            width="100%"
          />
          <NumberField
            label="Height, taken out from there on"
            description="Upwards is positive."
            unit="°C"
            digits={3}
            value={draft.heightC}
            onChange={(heightC) => onChange({ ...draft, heightC })}
            width="100%"
          />
        </>
      );
    case "warming-up drift":
      return (
        <>
          <SegmentedControl
            aria-label="How it drifts"
            value={draft.settles ? "settles" : "even"}
            data={[
              { value: "settles", label: "It settles" },
              { value: "even", label: "Evenly" },
            ]}
            onChange={(value) => onChange({ ...draft, settles: value === "settles" })}
          />
          <NumberField
            label="Begins at"
            unit="s"
            digits={3}
            value={draft.startS}
            onChange={(startS) => onChange({ ...draft, startS })}
            width="100%"
          />
          <NumberField
            label={draft.settles ? "Settles by" : "Drifts by"}
            description="Upwards is positive."
            unit={draft.settles ? "°C" : "°C/h"}
            digits={3}
            value={draft.size}
            onChange={(size) => onChange({ ...draft, size })}
            width="100%"
          />
          {draft.settles && (
            <NumberField
              label="Time constant"
              description="After which 63 % of it are done."
              unit="min"
              digits={3}
              value={draft.tauMin}
              onChange={(tauMin) => onChange({ ...draft, tauMin })}
              width="100%"
            />
          )}
        </>
      );
    case "mask":
      return (
        <>
          <NumberField
            label="From"
            unit="s"
            digits={3}
            value={draft.fromS}
            onChange={(fromS) => onChange({ ...draft, fromS })}
            width="100%"
          />
          <NumberField
            label="To, that moment included"
            unit="s"
            digits={3}
            value={draft.toS}
            onChange={(toS) => onChange({ ...draft, toS })}
            width="100%"
            error={
              draft.fromS !== null && draft.toS !== null && draft.toS < draft.fromS
                ? "The end lies before the beginning."
                : undefined
            }
          />
          <SegmentedControl
            aria-label="Which series"
            value={draft.series === null ? "all" : "some"}
            data={[
              { value: "all", label: "All series" },
              { value: "some", label: "Some" },
            ]}
            onChange={(value) => onChange({ ...draft, series: value === "all" ? null : [] })}
          />
          {draft.series !== null && (
            <MultiSelect
              label="Series to mask"
              value={[...draft.series]}
              data={series.map(({ value, label }) => ({ value, label }))}
              onChange={(chosen) => onChange({ ...draft, series: chosen })}
              searchable
              hidePickedOptions
            />
          )}
        </>
      );
    case "time shift":
      return (
        <NumberField
          label="Later by"
          description="Earlier is negative."
          unit="s"
          digits={3}
          value={draft.byS}
          onChange={(byS) => onChange({ ...draft, byS })}
          width="100%"
        />
      );
    case "emissivity":
      return (
        <>
          <fieldset className={classes.group}>
            <legend>The camera was set to</legend>
            <NumberField
              label="Emissivity, as set"
              description="1 where it corrected nothing."
              digits={3}
              value={draft.fromEmissivity}
              onChange={(fromEmissivity) => onChange({ ...draft, fromEmissivity })}
              width="100%"
            />
            <NumberField
              label="Reflected temperature, as set"
              unit="°C"
              value={draft.fromReflectedC}
              onChange={(fromReflectedC) => onChange({ ...draft, fromReflectedC })}
              width="100%"
            />
          </fieldset>
          <fieldset className={classes.group}>
            <legend>It should have been</legend>
            <NumberField
              label="Emissivity"
              description="Human skin: 0.98."
              digits={3}
              value={draft.toEmissivity}
              onChange={(toEmissivity) => onChange({ ...draft, toEmissivity })}
              width="100%"
            />
            <NumberField
              label="Reflected temperature"
              unit="°C"
              value={draft.toReflectedC}
              onChange={(toReflectedC) => onChange({ ...draft, toReflectedC })}
              width="100%"
            />
          </fieldset>
        </>
      );
  }
}
