"use client";

import { Button, CopyButton } from "@mantine/core";
import { SectionHeading } from "@/components/section-heading";
import classes from "./audit.module.css";

/** The head of the chain, to be noted elsewhere. */
export function ChainHead({ head }: { readonly head: string }) {
  return (
    <section aria-labelledby="chain">
      <SectionHeading
        id="chain"
        explanation={
          <>
            Each entry holds the hash of the entry before it. Whoever runs this server finds with{" "}
            <code>npm run audit:verify</code> any entry that was changed, removed or inserted in the database.
            Note this head outside of the server: verified with <code>--expect</code> and the noted head, a
            trail whose end was cut or that was written anew is found too. Every release carries the head of
            its day.
          </>
        }
      >
        Chain
      </SectionHeading>
      <div className={classes.head}>
        <code>{head}</code>
        <CopyButton value={head}>
          {({ copied, copy }) => <Button onClick={copy}>{copied ? "Copied" : "Copy the head"}</Button>}
        </CopyButton>
      </div>
    </section>
  );
}
