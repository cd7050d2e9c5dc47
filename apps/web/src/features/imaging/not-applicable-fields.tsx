"use client";

import { ActionIcon, NativeSelect, TextInput } from "@mantine/core";
import { IconTrash } from "@tabler/icons-react";
import classes from "./imaging.module.css";
import type { NotApplicable, ReportingItemKey } from "./imaging-words";

interface NotApplicableFieldsProps {
  readonly items: readonly { readonly key: ReportingItemKey; readonly name: string }[];
  readonly value: NotApplicable;
  readonly onChange: (value: NotApplicable) => void;
  /** By key. */
  readonly errors: Readonly<Record<string, string>>;
}

/** Reporting items that do not apply, each with its reason. */
export function NotApplicableFields({ items, value, onChange, errors }: NotApplicableFieldsProps) {
  const chosen = items.filter(({ key }) => value[key] !== undefined);
  const left = items.filter(({ key }) => value[key] === undefined);
  return (
    <fieldset className={classes.group}>
      <legend>Items that do not apply</legend>
      {chosen.map(({ key, name }) => (
        <div key={key} className={classes.reason}>
          <TextInput
            id={`imaging.notApplicable.${key}`}
            label={`Why does “${name}” not apply?`}
            value={value[key] ?? ""}
            onChange={(event) => onChange({ ...value, [key]: event.currentTarget.value })}
            error={errors[key]}
          />
          <ActionIcon
            aria-label={`${name} applies`}
            onClick={() =>
              onChange(Object.fromEntries(Object.entries(value).filter(([other]) => other !== key)))
            }
          >
            <IconTrash size={18} />
          </ActionIcon>
        </div>
      ))}
      <NativeSelect
        label="Add an item that does not apply"
        maw={400}
        value=""
        data={[
          { value: "", label: "Choose an item …" },
          ...left.map(({ key, name }) => ({ value: key, label: name })),
        ]}
        onChange={(event) => {
          const item = left.find(({ key }) => key === event.currentTarget.value);
          if (item !== undefined) onChange({ ...value, [item.key]: "" });
        }}
      />
    </fieldset>
  );
}
