import { Button, Progress } from "@mantine/core";
import classes from "./file-drop.module.css";
import { formatBytes } from "./format-bytes";
import { formatDuration } from "./transfer-rate";
import type { QueuedFile, UploadPhase } from "./use-upload-queue";

interface UploadRowProps {
  readonly entry: QueuedFile;
  readonly onCancel: () => void;
  readonly onRetry: () => void;
  readonly onDismiss: () => void;
}

/** One file of a queue: how far it is, or why it did not arrive. */
export function UploadRow({ entry, onCancel, onRetry, onDismiss }: UploadRowProps) {
  const { file, phase } = entry;
  const open = phase.kind === "waiting" || phase.kind === "checking" || phase.kind === "sending";
  const share = shareOf(phase);
  if (phase.kind === "done") {
    return (
      <li className={classes.entry} data-state={phase.kind}>
        <p role="status">“{file.name}” has arrived.</p>
      </li>
    );
  }
  return (
    <li className={classes.entry} data-state={phase.kind}>
      <div className={classes.row}>
        <span className={classes.name}>{file.name}</span>
        <span className={`numbers ${classes.hint}`}>{wordsOf(phase, file)}</span>
        {open && (
          <Button size="compact-sm" onClick={onCancel} aria-label={`Cancel “${file.name}”`}>
            Cancel
          </Button>
        )}
        {phase.kind === "failed" && (
          <>
            {phase.again && (
              <Button size="compact-sm" onClick={onRetry}>
                Try “{file.name}” again
              </Button>
            )}
            <Button
              size="compact-sm"
              variant="subtle"
              onClick={onDismiss}
              aria-label={`Take off the list: “${file.name}”`}
            >
              Take off the list
            </Button>
          </>
        )}
      </div>
      {share !== null && (
        <Progress value={share * 100} aria-label={`Sent of ${file.name}`} radius={0} size={4} />
      )}
      {phase.kind === "failed" && (
        <p role="alert" className={phase.cancelled ? classes.hint : classes.failure}>
          {phase.message}
        </p>
      )}
    </li>
  );
}

function shareOf(phase: UploadPhase): number | null {
  switch (phase.kind) {
    case "sending":
      return phase.progress.total === 0 ? 0 : phase.progress.loaded / phase.progress.total;
    case "checking":
      return 0;
    case "waiting":
    case "failed":
    case "done":
      return null;
  }
}

function wordsOf(phase: UploadPhase, file: File): string {
  const size = formatBytes(file.size);
  switch (phase.kind) {
    case "waiting":
      return `${size}, waits for its turn`;
    case "checking":
      return `${size}, its checksum is computed: ${Math.floor(phase.share * 100)} %`;
    case "sending": {
      const { loaded, total, bytesPerS, secondsLeft } = phase.progress;
      if (loaded >= total) return `${size} sent; the server is looking at it`;
      const rate = bytesPerS === null ? "" : `, ${formatBytes(Math.round(bytesPerS))}/s`;
      const left = secondsLeft === null ? "" : `, ${formatDuration(secondsLeft)} left`;
      return `${formatBytes(loaded)} of ${size}${rate}${left}`;
    }
    case "failed":
      return phase.cancelled ? `${size}, cancelled` : `${size}, did not arrive`;
    case "done":
      return size;
  }
}
