"use client";

import { NumberField } from "@/components/number-field";
import type { RoomLimits } from "./draft-form";
import classes from "./protocol.module.css";

interface RoomFieldsProps {
  readonly value: RoomLimits;
  readonly onChange: (value: RoomLimits) => void;
  readonly errors: Readonly<Record<string, string>>;
}

const ranges = [
  { name: "airTemperatureC", label: "air temperature", unit: "°C" },
  { name: "meanRadiantTemperatureC", label: "mean radiant temperature", unit: "°C" },
  { name: "relativeHumidityPct", label: "relative humidity", unit: "%" },
] as const;

export function RoomFields({ value, onChange, errors }: RoomFieldsProps) {
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
