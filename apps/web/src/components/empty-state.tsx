import type { ReactNode } from "react";
import classes from "./state.module.css";

interface EmptyStateProps {
  /** What is not there yet. */
  readonly title: string;
  /** What to do first, and what for. */
  readonly children: ReactNode;
  readonly action?: ReactNode;
}

export function EmptyState({ title, children, action }: EmptyStateProps) {
  return (
    <div className={classes.state}>
      <p className={classes.title}>{title}</p>
      <div className={classes.words}>{children}</div>
      {action !== undefined && <div className={classes.actions}>{action}</div>}
    </div>
  );
}
