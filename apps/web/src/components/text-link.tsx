"use client";

import { Anchor } from "@mantine/core";
import Link from "next/link";
import type { ReactNode } from "react";

interface TextLinkProps {
  readonly href: string;
  readonly children: ReactNode;
  readonly className?: string | undefined;
  /** Underlined only under the pointer: for lists where every first cell is a link. */
  readonly quiet?: boolean;
}

/** A link within the app. Server components cannot hand Next's link to Mantine's anchor; this can be used in both. */
export function TextLink({ href, children, className, quiet = false }: TextLinkProps) {
  return (
    <Anchor
      component={Link}
      href={href}
      inherit
      underline={quiet ? "hover" : "always"}
      {...(className === undefined ? {} : { className })}
    >
      {children}
    </Anchor>
  );
}
