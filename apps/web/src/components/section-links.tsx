"use client";

import Link from "next/link";
import { usePathname } from "next/navigation";
import classes from "./section-links.module.css";

interface SectionLinksProps {
  /** What the links lead through, for screen readers. */
  readonly label: string;
  readonly links: readonly { readonly label: string; readonly href: string }[];
}

/** The sections of one screen, each with an address of its own. */
export function SectionLinks({ label, links }: SectionLinksProps) {
  const pathname = usePathname();
  return (
    <nav aria-label={label} className={classes.links} data-screen-only>
      <ul>
        {links.map((link) => (
          <li key={link.href}>
            <Link href={link.href} {...(pathname === link.href ? { "aria-current": "page" as const } : {})}>
              {link.label}
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  );
}
