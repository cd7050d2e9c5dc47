import type { ReactNode } from "react";
import { ListeningFields } from "@/components/listening-fields";
import classes from "./page-body.module.css";

interface PageBodyProps {
  /** `form` for one column of fields, `list` for tables. */
  readonly width?: "form" | "list";
  readonly children: ReactNode;
}

/** The content of a page outside of a study. Inside a study the frame has it already. */
export function PageBody({ width = "list", children }: PageBodyProps) {
  return (
    <main id="content" tabIndex={-1} className={classes.body} data-width={width}>
      <ListeningFields>{children}</ListeningFields>
    </main>
  );
}
