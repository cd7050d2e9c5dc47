"use client";

import { Button } from "@mantine/core";
import Link from "next/link";
import type { ReactNode } from "react";

interface ButtonLinkProps {
  readonly href: string;
  readonly children: ReactNode;
  readonly variant?: "default" | "filled" | "subtle";
}

/** A link that looks like a button, because it begins something. For server and client components alike. */
export function ButtonLink({ href, children, variant = "default" }: ButtonLinkProps) {
  return (
    <Button component={Link} href={href} variant={variant}>
      {children}
    </Button>
  );
}
