import type { PhaseKind } from "./draft-form";
import classes from "./phase-strip.module.css";
import { durationText, phaseKindNames } from "./words";

interface PhaseStripProps {
  readonly phases: readonly {
    readonly key: string;
    readonly name: string;
    readonly kind: PhaseKind;
    readonly durationS: number | null;
  }[];
}

/** The phases one after the other; widths grow with the durations, and a thick bar is exercise. */
export function PhaseStrip({ phases }: PhaseStripProps) {
  const total = phases.reduce((sum, phase) => sum + (phase.durationS ?? 0), 0);
  // A short phase keeps enough width for its name.
  const least = total * 0.16;
  return (
    <ol className={classes.strip} aria-label="Phases in order">
      {phases.map((phase) => (
        <li
          key={phase.key}
          data-kind={phase.kind}
          style={{ flexGrow: total === 0 ? 1 : Math.max(least, phase.durationS ?? 0) / total }}
        >
          <span className={classes.name}>{phase.name === "" ? "unnamed" : phase.name}</span>
          <span className={classes.note}>
            {phaseKindNames[phase.kind]}, {durationText(phase.durationS)}
          </span>
        </li>
      ))}
    </ol>
  );
}
