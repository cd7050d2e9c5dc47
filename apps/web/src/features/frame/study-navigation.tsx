"use client";

import { IconChevronDown } from "@tabler/icons-react";
import Link from "next/link";
import { usePathname } from "next/navigation";
import { useState } from "react";
import classes from "./study-navigation.module.css";

const screens = [
  { label: "Overview", path: "" },
  { label: "Protocol", path: "/protocol" },
  { label: "Volunteers", path: "/volunteers" },
  { label: "Trials", path: "/trials" },
  { label: "Quality", path: "/quality" },
  { label: "Comparisons", path: "/comparisons" },
  { label: "Methods", path: "/methods" },
  { label: "Releases", path: "/releases" },
  { label: "Team", path: "/team" },
  { label: "Audit trail", path: "/audit" },
] as const;

/** The screens of a study: a column on wide windows, a row on a tablet, a menu on a phone. */
export function StudyNavigation({ studyId }: { readonly studyId: string }) {
  const pathname = usePathname();
  const [open, setOpen] = useState(false);
  const base = `/studies/${studyId}`;
  // Consent forms are a section of the Volunteers screen, with an address of its own.
  const here = pathname.startsWith(`${base}/consent`) ? `${base}/volunteers` : pathname;
  const current = screens.find(({ path }) => path !== "" && here.startsWith(`${base}${path}`)) ?? screens[0];
  return (
    <nav aria-label="Study" className={classes.navigation} data-screen-only>
      <button type="button" className={classes.menu} aria-expanded={open} onClick={() => setOpen(!open)}>
        {current.label}
        <IconChevronDown size={16} aria-hidden />
      </button>
      <ul className={classes.screens} data-open={open || undefined}>
        {screens.map((screen) => (
          <li key={screen.path}>
            <Link
              href={`${base}${screen.path}`}
              onClick={() => setOpen(false)}
              {...(screen === current ? { "aria-current": "page" as const } : {})}
            >
              {screen.label}
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  );
}
