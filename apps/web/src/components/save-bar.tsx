import type { ReactNode } from "react";
import classes from "./save-bar.module.css";

interface SaveBarProps {
  /** "Unsaved changes", "Saved", what failed. */
  readonly state: ReactNode;
  /** Buttons; the most likely one first. */
  readonly children: ReactNode;
}

/** Stays in sight at the foot of a long form. */
export function SaveBar({ state, children }: SaveBarProps) {
  return (
    <div className={classes.bar}>
      <div className={classes.state} role="status">
        {state}
      </div>
      <div className={classes.buttons}>{children}</div>
    </div>
  );
}
