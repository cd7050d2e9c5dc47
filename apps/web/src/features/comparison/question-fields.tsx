"use client";

import { NativeSelect } from "@mantine/core";
import { NumberField } from "@/components/number-field";
import classes from "./comparison.module.css";
import type { Outcomes, Settings } from "./settings";

interface QuestionFieldsProps {
  readonly outcomes: Outcomes;
  readonly settings: Settings;
  readonly onChange: (settings: Settings) => void;
  readonly errors: Readonly<Record<string, string>>;
  readonly disabled: boolean;
}

const wholeBody = "";

/** The question in fields: which number, of which region, in which two conditions. */
export function QuestionFields({ outcomes, settings, onChange, errors, disabled }: QuestionFieldsProps) {
  const set = (change: Partial<Settings>) => onChange({ ...settings, ...change });
  const conditions = outcomes.conditions.map(({ key, name }) => ({ value: key, label: name }));
  const [first, second] = settings.conditions;
  return (
    <fieldset disabled={disabled} className={classes.fieldset}>
      <legend className={classes.legend}>Question</legend>
      <div className={classes.question}>
        <NativeSelect
          label="Region"
          data={outcomes.regions.map(({ regionId, label }) => ({ value: regionId ?? wholeBody, label }))}
          value={settings.outcome.regionId ?? wholeBody}
          onChange={(event) => {
            const regionId = event.currentTarget.value === wholeBody ? null : event.currentTarget.value;
            set({ outcome: { ...settings.outcome, regionId } });
          }}
          error={errors["settings.outcome.regionId"]}
        />
        <NativeSelect
          label="Measure"
          data={outcomes.measures.map(({ name, unit }) => ({ value: name, label: `${name}, ${unit}` }))}
          value={settings.outcome.measure}
          onChange={(event) => set({ outcome: { ...settings.outcome, measure: event.currentTarget.value } })}
          error={errors["settings.outcome.measure"]}
        />
        <NativeSelect
          label="Reference condition"
          data={conditions}
          value={first}
          onChange={(event) => set({ conditions: [event.currentTarget.value, second] })}
          error={errors["settings.conditions.0"]}
        />
        <NativeSelect
          label="Compared with"
          data={conditions}
          value={second}
          onChange={(event) => set({ conditions: [first, event.currentTarget.value] })}
          error={errors["settings.conditions.1"]}
        />
        <NativeSelect
          label="Occasions"
          data={[
            { value: "mean over occasions", label: "mean over all occasions" },
            ...Array.from({ length: outcomes.occasions }, (_, i) => ({
              value: String(i + 1),
              label: `occasion ${i + 1} only`,
            })),
          ]}
          value={String(settings.occasion)}
          onChange={(event) => {
            const { value } = event.currentTarget;
            set({ occasion: value === "mean over occasions" ? value : Number(value) });
          }}
        />
        <NativeSelect
          label="Courses drawn as"
          data={["temperature", "change from baseline"]}
          value={settings.course}
          onChange={(event) =>
            set({
              course: event.currentTarget.value === "temperature" ? "temperature" : "change from baseline",
            })
          }
        />
        <NumberField
          label="Confidence level"
          unit="%"
          digits={1}
          value={settings.level * 100}
          onChange={(percent) => {
            if (percent !== null) set({ level: percent / 100 });
          }}
          error={errors["settings.level"]}
        />
      </div>
    </fieldset>
  );
}
