"use client";

import { ActionIcon, Button, NativeSelect, TextInput } from "@mantine/core";
import { IconArrowDown, IconArrowUp, IconTrash } from "@tabler/icons-react";
import { NumberField } from "@/components/number-field";
import { randomKey } from "@/components/random-key";
import type { PhaseFields, PhaseKind } from "./draft-form";
import classes from "./protocol.module.css";
import { phaseKindNames } from "./words";

interface PhaseListProps {
  readonly phases: readonly PhaseFields[];
  readonly onChange: (phases: readonly PhaseFields[]) => void;
  readonly errors: Readonly<Record<string, string>>;
}

const kinds = Object.entries(phaseKindNames) as [PhaseKind, string][];

export function PhaseList({ phases, onChange, errors }: PhaseListProps) {
  const replace = (index: number, change: Partial<PhaseFields>) =>
    onChange(phases.map((phase, at) => (at === index ? { ...phase, ...change } : phase)));
  const move = (index: number, by: -1 | 1) => {
    const next = [...phases];
    const [moved] = next.splice(index, 1);
    if (moved !== undefined) next.splice(index + by, 0, moved);
    onChange(next);
  };
  const add = () => {
    // The usual order is offered: rest, exercise, recovery.
    const kind = kinds[Math.min(phases.length, kinds.length - 1)]?.[0] ?? "rest";
    onChange([...phases, { key: randomKey("phase"), name: "", kind, minutes: null }]);
  };
  return (
    <>
      <ol className={classes.rows} aria-label="Phases">
        {phases.map((phase, index) => (
          <li key={phase.key}>
            <fieldset className={classes.row} aria-label={`Phase ${index + 1}`}>
              <TextInput
                id={`phases.${index}.name`}
                label={`Phase ${index + 1}`}
                className={classes.grow ?? ""}
                value={phase.name}
                onChange={(event) => replace(index, { name: event.currentTarget.value })}
                error={errors[`phases.${index}.name`]}
              />
              <NativeSelect
                label="Kind"
                data={kinds.map(([value, label]) => ({ value, label }))}
                value={phase.kind}
                onChange={(event) => {
                  const kind = kinds.find(([value]) => value === event.currentTarget.value)?.[0];
                  if (kind !== undefined) replace(index, { kind });
                }}
              />
              <NumberField
                id={`phases.${index}.durationS`}
                label="Duration"
                unit="min"
                width={120}
                value={phase.minutes}
                onChange={(minutes) => replace(index, { minutes })}
                error={errors[`phases.${index}.durationS`]}
              />
              <div className={classes.buttons}>
                <ActionIcon
                  aria-label={`Move phase ${index + 1} up`}
                  disabled={index === 0}
                  onClick={() => move(index, -1)}
                >
                  <IconArrowUp size={18} />
                </ActionIcon>
                <ActionIcon
                  aria-label={`Move phase ${index + 1} down`}
                  disabled={index === phases.length - 1}
                  onClick={() => move(index, 1)}
                >
                  <IconArrowDown size={18} />
                </ActionIcon>
                <ActionIcon
                  aria-label={`Remove phase ${index + 1}`}
                  onClick={() => onChange(phases.filter((_, at) => at !== index))}
                >
                  <IconTrash size={18} />
                </ActionIcon>
              </div>
            </fieldset>
          </li>
        ))}
      </ol>
      <Button className={classes.under ?? ""} id="phases" onClick={add}>
        Add a phase
      </Button>
    </>
  );
}
