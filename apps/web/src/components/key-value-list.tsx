import type { ReactNode } from "react";
import classes from "./key-value-list.module.css";

export interface KeyValue {
  readonly label: string;
  readonly value: ReactNode;
  /** A short remark under the value: a source, a limit. */
  readonly note?: ReactNode;
}

interface KeyValueListProps {
  readonly items: readonly KeyValue[];
  /** Pairs side by side where the width allows. Default 1. */
  readonly columns?: 1 | 2 | 3;
}

export function KeyValueList({ items, columns = 1 }: KeyValueListProps) {
  return (
    <dl className={classes.list} data-columns={columns}>
      {items.map((item) => (
        <div key={item.label}>
          <dt>{item.label}</dt>
          <dd>
            {item.value}
            {item.note !== undefined && <div className={classes.note}>{item.note}</div>}
          </dd>
        </div>
      ))}
    </dl>
  );
}
