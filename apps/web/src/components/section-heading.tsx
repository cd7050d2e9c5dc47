import type { ReactNode } from "react";
import classes from "./section-heading.module.css";

interface SectionHeadingProps {
  readonly children: ReactNode;
  /** 2 for a part of the page (default), 3 for a part of that. */
  readonly level?: 2 | 3;
  readonly id?: string;
  /** One or two sentences under the heading. */
  readonly explanation?: ReactNode;
  readonly actions?: ReactNode;
}

export function SectionHeading({ children, level = 2, id, explanation, actions }: SectionHeadingProps) {
  const Heading = level === 2 ? "h2" : "h3";
  return (
    <div className={classes.section} data-level={level}>
      <div className={classes.row}>
        <Heading id={id}>{children}</Heading>
        {actions !== undefined && <div className={classes.actions}>{actions}</div>}
      </div>
      {explanation !== undefined && <p className={classes.explanation}>{explanation}</p>}
    </div>
  );
}
