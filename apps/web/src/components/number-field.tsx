"use client";

import { NumberInput } from "@mantine/core";
import { type ReactNode, useState } from "react";
import classes from "./number-field.module.css";

interface NumberFieldProps {
  readonly label: ReactNode;
  /** The label is only spoken: for fields in a table whose head says what they are. */
  readonly labelHidden?: boolean;
  readonly value: number | null;
  readonly onChange: (value: number | null) => void;
  readonly onBlur?: () => void;
  readonly unit?: string;
  readonly id?: string;
  readonly name?: string;
  readonly description?: ReactNode;
  readonly required?: boolean;
  readonly disabled?: boolean;
  /** Digits that may be typed after the decimal mark. Default 2; 0 for counts and years. */
  readonly digits?: number;
  /** Stops the person: the number cannot be kept. */
  readonly error?: ReactNode;
  /** Does not stop: the number is unusual, and should be looked at twice. */
  readonly doubt?: ReactNode;
  readonly width?: number | string;
}

/**
 * A number as it is typed, with comma or point, and its unit. It never rounds, clamps or steps what somebody entered:
 * limits are said in words (`error`, `doubt`), and the wheel and the arrow keys leave the number alone.
 */
export function NumberField({
  value,
  onChange,
  unit,
  digits = 2,
  doubt,
  error,
  width = 200,
  labelHidden = false,
  ...field
}: NumberFieldProps) {
  const [typed, setTyped] = useState<string | number>(value ?? "");
  // What is half typed ("-", "3.") stays as typed until the number itself changes from outside.
  const shown = toNumber(typed) === value ? typed : (value ?? "");
  return (
    <div className={classes.field}>
      <NumberInput
        {...field}
        value={shown}
        onChange={(next) => {
          setTyped(next);
          onChange(toNumber(next));
        }}
        error={error}
        styles={{ wrapper: { width, maxWidth: "100%" } }}
        {...(labelHidden ? { labelProps: { className: classes.hidden ?? "" } } : {})}
        onPaste={(event) => {
          // What is pasted is taken for a number with points, and a comma would be dropped: 25,5 must not become 255.
          const text = event.clipboardData.getData("text").trim();
          if (digits === 0 || !/^[-−]?\d*,\d+$/.test(text)) return;
          event.preventDefault();
          const next = text.replace("−", "-").replace(",", ".");
          setTyped(next);
          onChange(toNumber(next));
        }}
        hideControls
        withKeyboardEvents={false}
        decimalScale={digits}
        allowDecimal={digits > 0}
        allowedDecimalSeparators={[".", ","]}
        inputMode={digits > 0 ? "decimal" : "numeric"}
        classNames={{ input: classes.input, section: classes.section }}
        {...(unit === undefined
          ? {}
          : {
              rightSection: <span className={classes.unit}>{unit}</span>,
              rightSectionWidth: 20 + unit.length * 9,
              rightSectionPointerEvents: "none" as const,
            })}
      />
      {doubt !== undefined && doubt !== null && !error && (
        <p className={classes.doubt} role="status">
          <svg viewBox="0 0 12 12" width="12" height="12" aria-hidden="true">
            <path
              d="M6 .75 11.5 11H.5z"
              fill="none"
              stroke="currentColor"
              strokeWidth="1.5"
              strokeLinejoin="round"
            />
          </svg>
          <span>{doubt}</span>
        </p>
      )}
    </div>
  );
}

function toNumber(typed: string | number): number | null {
  if (typeof typed === "number") return Number.isFinite(typed) ? typed : null;
  if (typed.trim() === "" || typed === "-") return null;
  const number = Number(typed);
  return Number.isFinite(number) ? number : null;
}
