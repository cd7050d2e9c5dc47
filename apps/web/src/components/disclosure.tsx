import type { ReactNode } from "react";
import classes from "./disclosure.module.css";

interface DisclosureProps {
  readonly summary: ReactNode;
  readonly children: ReactNode;
  readonly open?: boolean;
}

/** Something that is there for whoever asks: where a number comes from, a technical detail, a long rule. */
export function Disclosure({ summary, children, open = false }: DisclosureProps) {
  return (
    <details className={classes.disclosure} open={open}>
      <summary>{summary}</summary>
      <div className={classes.content}>{children}</div>
    </details>
  );
}
