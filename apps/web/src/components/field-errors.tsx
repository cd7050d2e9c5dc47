"use client";

import { Anchor } from "@mantine/core";
import { useEffect, useRef } from "react";
import classes from "./state.module.css";

export interface FieldError {
  /** The id of the field's input, so that the message can lead there. */
  readonly fieldId?: string;
  readonly label: string;
  readonly message: string;
}

interface FieldErrorsProps {
  readonly errors: readonly FieldError[];
  readonly title?: string;
}

/** What still has to be mended before a form can be kept; takes the focus when it appears. */
export function FieldErrors({ errors, title = "Not saved yet. Please mend:" }: FieldErrorsProps) {
  const box = useRef<HTMLDivElement>(null);
  const shown = errors.length > 0;
  useEffect(() => {
    if (shown) box.current?.focus();
  }, [shown]);
  if (!shown) return null;
  return (
    <div ref={box} className={classes.state} data-stop role="alert" tabIndex={-1}>
      <p className={classes.title}>{title}</p>
      <ul className={classes.words}>
        {errors.map((error) => (
          <li key={`${error.label} ${error.message}`}>
            {error.fieldId === undefined ? (
              error.label
            ) : (
              <Anchor
                href={`#${error.fieldId}`}
                inherit
                onClick={(event) => {
                  event.preventDefault();
                  document.getElementById(error.fieldId ?? "")?.focus();
                }}
              >
                {error.label}
              </Anchor>
            )}
            : {error.message}
          </li>
        ))}
      </ul>
    </div>
  );
}
