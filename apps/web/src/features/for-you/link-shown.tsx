"use client";

import { Button, CopyButton, TextInput } from "@mantine/core";
import { encode } from "uqr";
import classes from "./for-you.module.css";

interface LinkShownProps {
  readonly label: string;
  readonly description: string;
  readonly address: string;
}

/** A link that is shown once: to copy, and as a code that a phone reads. */
export function LinkShown({ label, description, address }: LinkShownProps) {
  const { data, size } = encode(address, { border: 4 });
  const path = data.flatMap((row, y) => row.map((dark, x) => (dark ? `M${x} ${y}h1v1h-1z` : ""))).join("");
  return (
    <div className={classes.link} role="status">
      <svg
        viewBox={`0 0 ${size} ${size}`}
        className={classes.code}
        role="img"
        aria-label={`${label}, as a code for the camera of a phone`}
        shapeRendering="crispEdges"
      >
        <path d={path} fill="currentColor" />
      </svg>
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
