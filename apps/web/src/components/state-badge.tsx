import type { ReactNode } from "react";
import classes from "./state-badge.module.css";

/**
 * What the shape says, whatever the noun:
 * open: not begun or still being written; half: under way; full: waiting for a decision; tick: settled and good;
 * bar: ended or retired; struck: set aside or taken back; lock: no longer changes; alert: somebody must act.
 */
export type BadgeShape = "open" | "half" | "full" | "tick" | "bar" | "struck" | "lock" | "alert";

interface StateBadgeProps {
  readonly shape: BadgeShape;
  /** `stop` is for what stops a person, and nothing else. */
  readonly tone?: "neutral" | "accent" | "stop";
  readonly children: ReactNode;
}

export function StateBadge({ shape, tone = "neutral", children }: StateBadgeProps) {
  return (
    <span className={classes.badge} data-tone={tone}>
      <svg viewBox="0 0 12 12" width="12" height="12" aria-hidden="true" className={classes.shape}>
        {shapeOf(shape)}
      </svg>
      <span>{children}</span>
    </span>
  );
}

function shapeOf(shape: BadgeShape): ReactNode {
  const ring = <circle cx="6" cy="6" r="4.75" fill="none" stroke="currentColor" strokeWidth="1.5" />;
  switch (shape) {
    case "open":
      return ring;
    case "half":
      return (
        <>
          {ring}
          <path d="M6 1.25a4.75 4.75 0 0 1 0 9.5z" fill="currentColor" />
        </>
      );
    case "full":
      return <circle cx="6" cy="6" r="5.5" fill="currentColor" />;
    case "tick":
      return <path d="M1.5 6.5 4.75 9.75 10.5 2.75" fill="none" stroke="currentColor" strokeWidth="2" />;
    case "bar":
      return <path d="M1.5 6h9" stroke="currentColor" strokeWidth="2" />;
    case "struck":
      return (
        <>
          {ring}
          <path d="M2.75 9.25 9.25 2.75" stroke="currentColor" strokeWidth="1.5" />
        </>
      );
    case "lock":
      return (
        <>
          <rect x="1.75" y="5.25" width="8.5" height="6" fill="currentColor" />
          <path d="M3.75 5V3.5a2.25 2.25 0 0 1 4.5 0V5" fill="none" stroke="currentColor" strokeWidth="1.5" />
        </>
      );
    case "alert":
      return (
        <>
          <path
            d="M6 .75 11.5 11H.5z"
            fill="none"
            stroke="currentColor"
            strokeWidth="1.5"
            strokeLinejoin="round"
          />
          <path d="M6 4.5v3M6 8.5v1" stroke="currentColor" strokeWidth="1.5" />
        </>
      );
  }
}
