"use client";

import { Button, Textarea } from "@mantine/core";
import { Caution } from "@/components/caution";
import { Disclosure } from "@/components/disclosure";
import { linesOf, type ProtocolVersion } from "./draft-form";
import classes from "./protocol.module.css";

interface StopCriteriaFieldsProps {
  readonly alwaysStop: string;
  readonly offered: ProtocolVersion["offeredStopCriteria"];
  readonly value: string;
  readonly onChange: (value: string) => void;
  readonly error: string | undefined;
}

export function StopCriteriaFields({ alwaysStop, offered, value, onChange, error }: StopCriteriaFieldsProps) {
  const written = linesOf(value);
  return (
    <>
      <Caution>
        Exercise, heat and unclothed skin can harm people. Decide the stop criteria with the person who is
        responsible for safety. Local codes, the ethics body's decision and licensed practice prevail.
      </Caution>
      <p className={classes.always}>
        <strong>Always, and not removable:</strong> {alwaysStop}
      </p>
      <Textarea
        id="stopCriteria"
        label="Further stop criteria"
        description="One per line."
        autosize
        minRows={3}
        maxRows={20}
        maw={720}
        value={value}
        onChange={(event) => onChange(event.currentTarget.value)}
        error={error}
      />
      <div className={classes.under}>
        <Disclosure summary="Stop criteria to choose from">
          <ul className={classes.offered}>
            {offered.map((criterion) => (
              <li key={criterion.text}>
                <Button
                  size="compact-sm"
                  aria-label={`Add: ${criterion.text}`}
                  disabled={written.includes(criterion.text)}
                  onClick={() => onChange([...written, criterion.text].join("\n"))}
                >
                  Add
                </Button>
                <span>
                  {criterion.text} <span className={classes.quiet}>{criterion.source}.</span>
                </span>
              </li>
            ))}
          </ul>
        </Disclosure>
      </div>
    </>
  );
}
