import type { ReactNode } from "react";
import classes from "./caution.module.css";

/** What has to be considered before a decision that can harm somebody. Said where the decision is taken. */
export function Caution({ children }: { readonly children: ReactNode }) {
  return (
    <aside className={classes.caution} aria-label="Caution">
      <svg viewBox="0 0 12 12" width="12" height="12" aria-hidden="true">
        <path
          d="M6 .75 11.5 11H.5z"
          fill="none"
          stroke="currentColor"
          strokeWidth="1.5"
          strokeLinejoin="round"
        />
        <path d="M6 4.5v3M6 8.5v1" stroke="currentColor" strokeWidth="1.5" />
      </svg>
      <div className={classes.words}>{children}</div>
    </aside>
  );
}
