"use client";

import { Radio, Stack } from "@mantine/core";
import { type ChosenEffect, effectWords, scopeOf } from "./effect-words";

/** The value that stands for all permissions; no permission's key has this form. */
export const allPermissions = "(all)";

interface Permission {
  readonly key: string;
  readonly label: string;
  readonly required: boolean;
}

export interface Choice {
  readonly what: string | null;
  readonly effect: ChosenEffect | null;
}

interface WithdrawalChoiceProps {
  /** What can be taken back. */
  readonly permissions: readonly Permission[];
  readonly choice: Choice;
  readonly onChoice: (choice: Choice) => void;
  /** What is still to be chosen, in words, once somebody tried without. */
  readonly complaints: { readonly what: string | null; readonly effect: string | null };
  readonly whose: "your" | "their";
  readonly mayErase: boolean;
}

/** What is taken back, and what happens to what is stored. Nothing is chosen beforehand. */
export function WithdrawalChoice({
  permissions,
  choice,
  onChoice,
  complaints,
  whose,
  mayErase,
}: WithdrawalChoiceProps) {
  const { what, effect } = choice;
  const whole = what === allPermissions;
  const offered: readonly ChosenEffect[] =
    whole && mayErase ? ["stop", "exclude", "erase"] : ["stop", "exclude"];
  const permission = permissions.find(({ key }) => key === what) ?? null;
  return (
    <>
      <Radio.Group
        label="What is taken back"
        value={what}
        // Erasing is offered with everything alone.
        onChange={(value) =>
          onChoice({ what: value, effect: effect === "erase" && value !== allPermissions ? null : effect })
        }
        error={complaints.what}
      >
        <Stack gap="xs" mt="xs">
          <Radio value={allPermissions} label="All permissions" />
          {permissions.map((item) => (
            <Radio key={item.key} value={item.key} label={item.label} />
          ))}
        </Stack>
      </Radio.Group>
      {what !== null && (
        <Radio.Group
          label="What happens to what is stored already"
          value={effect}
          onChange={(value) => onChoice({ what, effect: offered.find((known) => known === value) ?? null })}
          error={complaints.effect}
        >
          <Stack gap="sm" mt="xs">
            {offered.map((known) => {
              const words = effectWords(known, whole ? "all" : scopeOf(permission), whose);
              return <Radio key={known} value={known} label={words.label} description={words.note} />;
            })}
          </Stack>
        </Radio.Group>
      )}
    </>
  );
}

/** What is still to be chosen. */
export function missingChoice({ what, effect }: Choice) {
  return {
    what: what === null ? "Choose what is taken back." : null,
    effect: what !== null && effect === null ? "Choose what happens to what is stored already." : null,
  };
}
