"use client";

import { Textarea, TextInput } from "@mantine/core";
import { NumberField } from "@/components/number-field";
import type { Imaging, RoomLimits } from "./draft-form";
import classes from "./protocol.module.css";

interface PartProps<Value> {
  readonly value: Value;
  readonly onChange: (value: Value) => void;
  readonly errors: Readonly<Record<string, string>>;
}

const ranges = [
  { name: "airTemperatureC", label: "air temperature", unit: "°C" },
  { name: "meanRadiantTemperatureC", label: "mean radiant temperature", unit: "°C" },
  { name: "relativeHumidityPct", label: "relative humidity", unit: "%" },
] as const;

export function RoomFields({ value, onChange, errors }: PartProps<RoomLimits>) {
  return (
    <div className={classes.rows}>
      {ranges.map(({ name, label, unit }) => (
        <fieldset key={name} className={classes.row} aria-label={`Limits of the ${label}`}>
          <NumberField
            id={`roomLimits.${name}`}
            label={`Lowest ${label}`}
            unit={unit}
            width={250}
            value={value[name].min}
            onChange={(min) => onChange({ ...value, [name]: { ...value[name], min } })}
            error={errors[`roomLimits.${name}.min`]}
          />
          <NumberField
            label={`Highest ${label}`}
            unit={unit}
            width={250}
            value={value[name].max}
            onChange={(max) => onChange({ ...value, [name]: { ...value[name], max } })}
            error={errors[`roomLimits.${name}.max`] ?? errors[`roomLimits.${name}`]}
          />
        </fieldset>
      ))}
      <NumberField
        label="Highest air speed"
        unit="m/s"
        width={250}
        value={value.airSpeedMS.max}
        onChange={(max) => onChange({ ...value, airSpeedMS: { max } })}
        error={errors["roomLimits.airSpeedMS.max"]}
      />
    </div>
  );
}

export function ImagingFields({ value, onChange, errors }: PartProps<Imaging>) {
  const text = (name: "camera" | "referenceSurface") => ({
    value: value[name],
    onChange: (event: { currentTarget: { value: string } }) =>
      onChange({ ...value, [name]: event.currentTarget.value }),
    error: errors[`imaging.${name}`],
  });
  const number = (name: "emissivity" | "distanceM" | "cameraWarmUpMin") => ({
    value: value[name],
    onChange: (next: number | null) => onChange({ ...value, [name]: next }),
    error: errors[`imaging.${name}`],
    width: 180,
  });
  return (
    <div className={classes.rows}>
      <TextInput
        label="Camera"
        description="Maker, model, resolution, stated accuracy."
        maw={640}
        {...text("camera")}
      />
      <div className={classes.row}>
        <NumberField label="Emissivity" digits={3} {...number("emissivity")} />
        <NumberField label="Distance" unit="m" {...number("distanceM")} />
        <NumberField label="Camera warm-up" unit="min" digits={0} {...number("cameraWarmUpMin")} />
      </div>
      <TextInput
        label="Reference surface"
        description="What of known temperature stands in the picture, if anything."
        maw={640}
        {...text("referenceSurface")}
      />
      <Textarea
        label="Notes"
        autosize
        minRows={2}
        maxRows={10}
        maw={640}
        value={value.notes}
        onChange={(event) => onChange({ ...value, notes: event.currentTarget.value })}
        error={errors["imaging.notes"]}
      />
    </div>
  );
}
