"use client";

import { Button } from "@mantine/core";
import { useState } from "react";
import { DismissKind } from "./dismiss-kind";
import { FindingItem } from "./finding-item";
import { orderOfKinds } from "./finding-kinds";
import classes from "./quality.module.css";
import type { NumberedFinding } from "./quality-words";

/** As many of one kind stand there at once; the rest is one step further. */
const shownOfKind = 4;

interface FindingListProps {
  readonly findings: readonly NumberedFinding[];
  readonly chosen: string | null;
  readonly onChoose: (id: string) => void;
  readonly onAdjust: (finding: NumberedFinding) => void;
  readonly canChange: boolean;
}

/** Every finding with what it means, how sure it is, and what can be done about it. */
export function FindingList({ findings, ...item }: FindingListProps) {
  const kinds = [...new Set(findings.map(({ finding }) => finding.kind))].sort(
    (a, b) => orderOfKinds.indexOf(a) - orderOfKinds.indexOf(b),
  );
  return (
    <ul className={classes.list} aria-label="Findings">
      {kinds.map((kind) => (
        <KindOfFinding
          key={kind}
          findings={findings.filter(({ finding }) => finding.kind === kind)}
          {...item}
        />
      ))}
    </ul>
  );
}

function KindOfFinding({ findings, chosen, ...item }: FindingListProps) {
  const [all, setAll] = useState(false);
  const many = findings.length > shownOfKind;
  // One that is chosen in the figure is shown wherever it stands.
  const shown =
    many && !all ? findings.filter(({ id }, index) => index < shownOfKind - 1 || id === chosen) : findings;
  const hidden = findings.filter((one) => !shown.includes(one));
  const openOnes = findings.filter(({ finding }) => finding.standing === "open");
  const open = hidden.filter(({ finding }) => finding.standing === "open").length;
  return (
    <>
      {shown.map((one) => (
        <FindingItem key={one.id} numbered={one} chosen={one.id === chosen} {...item} />
      ))}
      {many && (
        <li className={classes.more}>
          <Button variant="subtle" size="compact-sm" aria-expanded={all} onClick={() => setAll(!all)}>
            {all
              ? "Show fewer of this kind"
              : `Show ${hidden.length} more of this kind${open > 0 ? `, ${open} open` : ""}`}
          </Button>
          {item.canChange && openOnes.length > 1 && <DismissKind findings={openOnes} />}
        </li>
      )}
    </>
  );
}
