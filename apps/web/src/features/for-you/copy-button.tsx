"use client";

import { OwnDownload } from "./own-download";

interface OwnCopyButtonProps {
  readonly token: string;
  readonly recordId: string;
  readonly fileName: string;
}

/** One's own copy of what was signed. */
export function OwnCopyButton({ token, recordId, fileName }: OwnCopyButtonProps) {
  return (
    <OwnDownload
      label="Save my copy (PDF)"
      fileName={fileName}
      path="/api/for-you/copy"
      asked={{ token, recordId }}
      type="application/pdf"
    />
  );
}
