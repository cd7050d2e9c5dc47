"use client";

import { ActionIcon, Button, Checkbox, Textarea } from "@mantine/core";
import { IconTrash } from "@tabler/icons-react";
import { randomKey } from "@/components/random-key";
import classes from "./consent.module.css";
import type { ConsentForm } from "./words";

type Permissions = ConsentForm["permissions"];

interface PermissionListProps {
  readonly permissions: Permissions;
  readonly onChange: (permissions: Permissions) => void;
  readonly errors: Readonly<Record<string, string>>;
}

const takePart = "take-part";

export function PermissionList({ permissions, onChange, errors }: PermissionListProps) {
  const replace = (key: string, change: Partial<Permissions[number]>) =>
    onChange(permissions.map((item) => (item.key === key ? { ...item, ...change } : item)));
  // Drawn once and kept over all versions, so that a permission keeps its meaning.
  const add = () => onChange([...permissions, { key: randomKey("permission"), label: "", required: false }]);
  return (
    <>
      <ol className={classes.rows} aria-label="Permissions">
        {permissions.map((permission, index) => (
          <li key={permission.key}>
            <fieldset className={classes.row} aria-label={`Permission ${index + 1}`}>
              <Textarea
                id={`permissions.${index}.label`}
                label={`Permission ${index + 1}`}
                className={classes.grow ?? ""}
                autosize
                minRows={1}
                maxRows={6}
                value={permission.label}
                onChange={(event) => replace(permission.key, { label: event.currentTarget.value })}
                error={errors[`permissions.${index}.label`]}
              />
              <Checkbox
                mt={30}
                label="Required to take part"
                checked={permission.required}
                disabled={permission.key === takePart}
                onChange={(event) => replace(permission.key, { required: event.currentTarget.checked })}
              />
              {permission.key !== takePart && (
                <ActionIcon
                  mt={24}
                  aria-label={`Remove permission ${index + 1}`}
                  onClick={() => onChange(permissions.filter((item) => item.key !== permission.key))}
                >
                  <IconTrash size={18} />
                </ActionIcon>
              )}
            </fieldset>
          </li>
        ))}
      </ol>
      <Button mt="md" onClick={add}>
        Add a permission
      </Button>
    </>
  );
}
