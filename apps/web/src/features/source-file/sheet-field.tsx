"use client";

import { NativeSelect } from "@mantine/core";
import type { Proposal } from "./column-map";

interface SheetFieldProps {
  readonly sheet: string;
  readonly sheets: Proposal["sheets"];
  /** Another sheet has other columns, which are proposed anew. */
  readonly onSheet: (sheet: string) => void;
}

/** Which sheet of a workbook is read; nothing to choose where there is only one. */
export function SheetField({ sheet, sheets, onSheet }: SheetFieldProps) {
  if (sheets.length < 2) return <p>Read from the sheet “{sheet}”.</p>;
  return (
    <NativeSelect
      label="Sheet of the workbook"
      description="One sheet is read from a file."
      data={sheets.map(({ name, hidden }) => ({ value: name, label: hidden ? `${name} (hidden)` : name }))}
      value={sheet}
      onChange={(event) => onSheet(event.currentTarget.value)}
      w={320}
      maw="100%"
    />
  );
}
