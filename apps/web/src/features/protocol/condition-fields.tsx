"use client";

import { ActionIcon, Button, Textarea, TextInput } from "@mantine/core";
import { IconTrash } from "@tabler/icons-react";
import { randomKey } from "@/components/random-key";
import type { ConditionFields } from "./draft-form";
import classes from "./protocol.module.css";

interface ConditionListProps {
  readonly conditions: readonly ConditionFields[];
  readonly onChange: (conditions: readonly ConditionFields[]) => void;
  readonly errors: Readonly<Record<string, string>>;
}

export function ConditionList({ conditions, onChange, errors }: ConditionListProps) {
  const replace = (index: number, change: Partial<ConditionFields>) =>
    onChange(conditions.map((condition, at) => (at === index ? { ...condition, ...change } : condition)));
  return (
    <>
      <ol className={classes.rows} aria-label="Conditions">
        {conditions.map((condition, index) => (
          <li key={condition.key}>
            <fieldset className={classes.row} aria-label={`Condition ${index + 1}`}>
              <TextInput
                id={`conditions.${index}.name`}
                label={`Condition ${index + 1}`}
                value={condition.name}
                onChange={(event) => replace(index, { name: event.currentTarget.value })}
                error={errors[`conditions.${index}.name`]}
              />
              <Textarea
                label="Description"
                className={classes.grow ?? ""}
                autosize
                minRows={1}
                maxRows={8}
                value={condition.description}
                onChange={(event) => replace(index, { description: event.currentTarget.value })}
                error={errors[`conditions.${index}.description`]}
              />
              <ActionIcon
                aria-label={`Remove condition ${index + 1}`}
                onClick={() => onChange(conditions.filter((_, at) => at !== index))}
              >
                <IconTrash size={18} />
              </ActionIcon>
            </fieldset>
          </li>
        ))}
      </ol>
      <Button
        id="conditions"
        className={classes.under ?? ""}
        onClick={() => onChange([...conditions, { key: randomKey("condition"), name: "", description: "" }])}
      >
        Add a condition
      </Button>
    </>
  );
}
