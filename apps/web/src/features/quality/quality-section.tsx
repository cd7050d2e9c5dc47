"use client";

import { Button } from "@mantine/core";
import { useState } from "react";
import { LoadingState } from "@/components/loading-state";
import { SectionHeading } from "@/components/section-heading";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import type { Trial } from "@/features/trial/trial-words";
import { QueryError } from "@/trpc/query-error";
import { AdjustDialog, type AdjustStart } from "./adjust-dialog";
import { AdjustmentList } from "./adjustment-list";
import { FindingList } from "./finding-list";
import classes from "./quality.module.css";
import { QualityVerdict } from "./quality-verdict";
import { numberedFindings } from "./quality-words";
import { useQuality } from "./use-quality";

interface QualitySectionProps {
  readonly trial: Trial;
  readonly chosen: string | null;
  readonly onChoose: (id: string) => void;
}

/** Whether the trial's conclusions survive, what the checks noticed, and what was adjusted for it. */
export function QualitySection({ trial, chosen, onChoose }: QualitySectionProps) {
  const { may } = useStudy();
  const quality = useQuality(trial.trialId);
  const [start, setStart] = useState<AdjustStart | null>(null);

  const heading = (
    <SectionHeading
      id="quality"
      explanation="What the checks noticed in each file: skin, or instrument? An adjustment changes what is computed, never the file."
    >
      Quality
    </SectionHeading>
  );
  if (quality.isPending) {
    return (
      <section className={classes.section} aria-labelledby="quality">
        {heading}
        <LoadingState label="Checking the files" lines={6} />
      </section>
    );
  }
  if (quality.isError) {
    return (
      <section className={classes.section} aria-labelledby="quality">
        {heading}
        <QueryError error={quality.error} what="findings and adjustments" onRetry={() => quality.refetch()} />
      </section>
    );
  }
  const { files } = quality.data;
  const findings = numberedFindings(quality.data);
  const open = quality.data.openFindings;
  const canChange = quality.data.canChange && may("quality.adjust");
  const [first] = files;
  const adjusted = files.filter((file) => file.adjustments.length > 0);
  return (
    <section className={classes.section} aria-labelledby="quality">
      {heading}
      <QualityVerdict trialId={trial.trialId} />
      <SectionHeading level={3}>
        {findings.length === 0 ? "Findings" : `Findings: ${findings.length}, ${open} open`}
      </SectionHeading>
      {findings.length === 0 ? (
        <p>The checks found nothing in {files.length === 1 ? "this file" : `these ${files.length} files`}.</p>
      ) : (
        <FindingList
          findings={findings}
          chosen={chosen}
          onChoose={onChoose}
          onAdjust={(numbered) => setStart({ file: numbered.file, numbered })}
          canChange={canChange}
        />
      )}
      <SectionHeading
        level={3}
        {...(adjusted.length === 0
          ? {}
          : { explanation: "In the order in which they are applied. The files stay as they were." })}
        {...(canChange && first !== undefined
          ? {
              actions: (
                <Button onClick={() => setStart({ file: first, numbered: null })}>Make an adjustment</Button>
              ),
            }
          : {})}
      >
        Adjustments
      </SectionHeading>
      {adjusted.length === 0 && <p className={classes.quiet}>None: everything is used as it was recorded.</p>}
      {adjusted.map((file) => (
        <div key={file.sourceFileId}>
          {files.length > 1 && <h4 className={classes.fileName}>{file.fileName}</h4>}
          <AdjustmentList
            trial={trial}
            file={file}
            findings={findings.filter((one) => one.file.sourceFileId === file.sourceFileId)}
            canChange={canChange}
          />
        </div>
      ))}
      {!quality.data.canChange && may("quality.adjust") && (
        <p className={classes.quiet}>
          Findings and adjustments of this trial do not change while it stands as it does. Reopen it with a
          reason first.
        </p>
      )}
      <AdjustDialog trial={trial} files={files} start={start} onClose={() => setStart(null)} />
    </section>
  );
}

/** One line at the top of the trial's page, with the way to the findings. */
export function QualityLine({ trialId }: { readonly trialId: string }) {
  const quality = useQuality(trialId);
  if (quality.data === undefined) return null;
  const findings = numberedFindings(quality.data);
  const open = findings.filter(({ finding }) => finding.standing === "open").length;
  const adjustments = quality.data.files.flatMap((file) =>
    file.adjustments.filter(({ state }) => state === "active"),
  ).length;
  const words = [
    findings.length === 0
      ? "the checks found nothing"
      : `${findings.length} ${findings.length === 1 ? "finding" : "findings"}, ${open} open`,
    ...(adjustments === 0 ? [] : [`${adjustments} ${adjustments === 1 ? "adjustment" : "adjustments"}`]),
  ];
  return (
    <p className={classes.line}>
      Quality: {words.join("; ")}. <TextLink href="#quality">See findings and adjustments</TextLink>
    </p>
  );
}
