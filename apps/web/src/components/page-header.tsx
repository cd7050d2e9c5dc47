import type { ReactNode } from "react";
import classes from "./page-header.module.css";
import { TextLink } from "./text-link";

export interface Crumb {
  readonly label: string;
  readonly href: string;
}

interface PageHeaderProps {
  readonly title: ReactNode;
  /** The way here, outermost first, without this page itself. */
  readonly trail?: readonly Crumb[];
  /** One line under the title: what this is, its state. */
  readonly summary?: ReactNode;
  /** Buttons; the most likely one first. */
  readonly actions?: ReactNode;
}

export function PageHeader({ title, trail = [], summary, actions }: PageHeaderProps) {
  return (
    <header className={classes.header}>
      {trail.length > 0 && (
        <nav aria-label="Breadcrumb" className={classes.trail} data-screen-only>
          <ol>
            {trail.map((crumb) => (
              <li key={crumb.href}>
                <TextLink href={crumb.href} quiet>
                  {crumb.label}
                </TextLink>
              </li>
            ))}
          </ol>
        </nav>
      )}
      <div className={classes.row}>
        <div className={classes.words}>
          <h1>{title}</h1>
          {summary !== undefined && <div className={classes.summary}>{summary}</div>}
        </div>
        {actions !== undefined && (
          <div className={classes.actions} data-screen-only>
            {actions}
          </div>
        )}
      </div>
    </header>
  );
}
