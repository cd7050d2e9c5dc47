"use client";

import { Button, CopyButton, TextInput } from "@mantine/core";
import { SquareCode } from "@/components/square-code";
import classes from "./for-you.module.css";

interface LinkShownProps {
  readonly label: string;
  readonly description: string;
  readonly address: string;
}

/** A link that is shown once: to copy, and as a code that a phone reads. */
export function LinkShown({ label, description, address }: LinkShownProps) {
  return (
    <div className={classes.link} role="status">
      <SquareCode
        text={address}
        label={`${label}, as a code for the camera of a phone`}
        className={classes.code}
      />
      <TextInput
        className={classes.address ?? ""}
        label={label}
        description={description}
        value={address}
        readOnly
        onFocus={(event) => event.currentTarget.select()}
      />
      <CopyButton value={address}>
        {({ copied, copy }) => <Button onClick={copy}>{copied ? "Copied" : "Copy the link"}</Button>}
      </CopyButton>
    </div>
  );
}
