"use client";

import { type ReactNode, useSyncExternalStore } from "react";
import classes from "./listening-fields.module.css";

const never = () => () => undefined;

/**
 * Fields take entries only once the page listens to them: what somebody quick chooses in a page that the server has drawn and
 * the browser has not yet brought to life would be put back without a word.
 */
export function ListeningFields({ children }: { readonly children: ReactNode }) {
  const listening = useSyncExternalStore(
    never,
    () => true,
    () => false,
  );
  return (
    <fieldset disabled={!listening} role="presentation" className={classes.fields}>
      {children}
    </fieldset>
  );
}
