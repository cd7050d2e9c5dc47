"use client";

import { TextInput } from "@mantine/core";
import { Disclosure } from "@/components/disclosure";
import { toLocalDay } from "@/components/local-moment";
import { NumberField } from "@/components/number-field";
import { Quantity } from "@/components/quantity";
import { type BodyFields, surfaceAreaOf } from "./body-form";
import classes from "./volunteer.module.css";
import { skinfoldNames, skinfoldSites } from "./words";

interface BodyMeasuresFieldsProps {
  readonly value: BodyFields;
  readonly onChange: (value: BodyFields) => void;
  /** By path in the input, beginning with "bodyMeasures.". */
  readonly errors: Readonly<Record<string, string>>;
}

export function BodyMeasuresFields({ value, onChange, errors }: BodyMeasuresFieldsProps) {
  return (
    <>
      <div className={classes.fields}>
        <TextInput
          type="date"
          label="Measured on"
          w={180}
          value={value.measuredOn}
          max={toLocalDay(new Date())}
          onChange={(event) => onChange({ ...value, measuredOn: event.currentTarget.value })}
          error={errors["bodyMeasures.measuredOn"]}
        />
        <NumberField
          label="Height"
          unit="cm"
          width={160}
          value={value.heightCm}
          onChange={(heightCm) => onChange({ ...value, heightCm })}
          error={errors["bodyMeasures.heightCm"]}
        />
        <NumberField
          label="Mass"
          unit="kg"
          width={160}
          value={value.massKg}
          onChange={(massKg) => onChange({ ...value, massKg })}
          error={errors["bodyMeasures.massKg"]}
        />
        <dl className={classes.result} aria-live="polite">
          <dt>Surface area (Du Bois)</dt>
          <dd>
            <Quantity value={surfaceAreaOf(value)} unit="m²" digits={3} />
          </dd>
        </dl>
      </div>
      <Disclosure summary="Skinfolds, where measured">
        <div className={classes.fields}>
          {skinfoldSites.map((site) => (
            <NumberField
              key={site}
              label={skinfoldNames[site]}
              unit="mm"
              digits={1}
              width={140}
              value={value.skinfoldsMm[site] ?? null}
              onChange={(mm) => onChange({ ...value, skinfoldsMm: { ...value.skinfoldsMm, [site]: mm } })}
              error={errors[`bodyMeasures.skinfoldsMm.${site}`]}
            />
          ))}
        </div>
      </Disclosure>
    </>
  );
}
