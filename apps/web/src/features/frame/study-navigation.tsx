"use client";

import type { StudyAction } from "@acral/api/access";
import { IconChevronDown } from "@tabler/icons-react";
import Link from "next/link";
import { usePathname } from "next/navigation";
import { useState } from "react";
import { useStudy } from "@/features/study/study-context";
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
  { label: "Audit trail", path: "/audit", action: "audit.list" },
] as const satisfies readonly { label: string; path: string; action?: StudyAction }[];

/** The screens of a study: a column on wide windows, a row on a tablet, a menu on a phone. */
export function StudyNavigation({ studyId }: { readonly studyId: string }) {
  const { may } = useStudy();
  const pathname = usePathname();
  const [open, setOpen] = useState(false);
  const base = `/studies/${studyId}`;
  // Consent forms, the invitation and retention are sections of the Volunteers screen, column maps one of the Trials screen, with
  // addresses of their own.
  const here = ["consent", "invitation", "retention"].some((section) =>
    pathname.startsWith(`${base}/${section}`),
  )
    ? `${base}/volunteers`
    : pathname.startsWith(`${base}/column-maps`)
      ? `${base}/trials`
      : pathname;
  const current = screens.find(({ path }) => path !== "" && here.startsWith(`${base}${path}`)) ?? screens[0];
  return (
    <nav aria-label="Study" className={classes.navigation} data-screen-only>
      <button type="button" className={classes.menu} aria-expanded={open} onClick={() => setOpen(!open)}>
        {current.label}
        <IconChevronDown size={16} aria-hidden />
      </button>
      <ul className={classes.screens} data-open={open || undefined}>
        {screens
          .filter((screen) => !("action" in screen) || may(screen.action))
          .map((screen) => (
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
