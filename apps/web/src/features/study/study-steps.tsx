import { StateBadge } from "@/components/state-badge";
import { TextLink } from "@/components/text-link";
import type { Outputs } from "@/trpc/outputs";
import classes from "./study-steps.module.css";

type Step = Outputs["study"]["overview"]["steps"][number];

interface StudyStepsProps {
  readonly studyId: string;
  readonly steps: readonly Step[];
}

/** What a study needs, in the order in which it is done; the first that is open comes next. */
export function StudySteps({ studyId, steps }: StudyStepsProps) {
  const next = steps.find((step) => !step.done);
  return (
    <ol className={classes.steps} aria-label="What to do next">
      {steps.map((step) => (
        <li key={step.key} data-next={step === next || undefined}>
          <span className={classes.sign}>
            {step.done ? (
              <StateBadge shape="tick" tone="accent">
                done
              </StateBadge>
            ) : (
              <StateBadge shape={step === next ? "half" : "open"}>
                {step === next ? "comes next" : "open"}
              </StateBadge>
            )}
          </span>
          <span>
            <TextLink href={`/studies/${studyId}/${step.screen}`}>{step.text}</TextLink>{" "}
            <span className={classes.note}>{step.note}</span>
          </span>
        </li>
      ))}
    </ol>
  );
}
