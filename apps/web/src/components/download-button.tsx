import { Button } from "@mantine/core";
import { IconDownload } from "@tabler/icons-react";
import type { MouseEvent, ReactNode } from "react";

interface DownloadButtonProps {
  readonly href: string;
  readonly children: ReactNode;
  /** The name to save under; without it the server's name holds. */
  readonly fileName?: string;
  /** Size, format, what is inside: shown beside the button in lighter ink. */
  readonly note?: ReactNode;
  readonly variant?: "default" | "filled";
  readonly size?: "sm" | "compact-sm";
  /** What has to go well before the browser fetches the file; false when it is not to be fetched. */
  readonly before?: () => Promise<boolean>;
}

/** The same as following the link, for when that has to wait for something. */
function fetchFile(href: string, name: string): void {
  const link = document.createElement("a");
  link.href = href;
  link.download = name;
  link.click();
}

/** A plain link that the browser saves as it arrives, however large, without passing through this page's memory. */
export function DownloadButton({
  href,
  children,
  fileName,
  note,
  variant = "default",
  size = "sm",
  before,
}: DownloadButtonProps) {
  const first =
    before === undefined
      ? {}
      : {
          onClick: async (event: MouseEvent) => {
            event.preventDefault();
            if (await before()) fetchFile(href, fileName ?? "");
          },
        };
  return (
    <span style={{ display: "inline-flex", flexWrap: "wrap", alignItems: "center", gap: 8 }}>
      <Button
        component="a"
        href={href}
        download={fileName ?? true}
        {...first}
        variant={variant}
        size={size}
        leftSection={<IconDownload size={16} stroke={1.75} aria-hidden />}
      >
        {children}
      </Button>
      {note !== undefined && <span style={{ color: "var(--mantine-color-dimmed)" }}>{note}</span>}
    </span>
  );
}
