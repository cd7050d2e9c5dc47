"use client";

import Link from "next/link";
import type { ReactNode } from "react";
import { AccountMenu } from "./account-menu";
import { SchemeMenu } from "./scheme-menu";
import { StudySwitch, type StudyToSwitch } from "./study-switch";
import classes from "./top-bar.module.css";

interface TopBarProps {
  readonly person: { readonly name: string; readonly email: string };
  readonly studies: readonly StudyToSwitch[];
}

export function TopBar({ person, studies }: TopBarProps) {
  return (
    <Bar>
      <div className={classes.room}>
        <StudySwitch studies={studies} />
      </div>
      <SchemeMenu />
      <AccountMenu person={person} />
    </Bar>
  );
}

/** The bar for whoever is not signed in. */
export function PlainBar() {
  return (
    <Bar>
      <span className={classes.room} />
      <SchemeMenu />
    </Bar>
  );
}

function Bar({ children }: { readonly children: ReactNode }) {
  return (
    <>
      <a href="#content" className={classes.skip}>
        Skip to the content
      </a>
      <header className={classes.bar} data-screen-only>
        <Link href="/studies" className={classes.product}>
          Acral
        </Link>
        {children}
      </header>
    </>
  );
}
