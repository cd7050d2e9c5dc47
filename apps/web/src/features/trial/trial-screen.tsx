"use client";

import { useQuery } from "@tanstack/react-query";
import { useMemo, useState } from "react";
import { Caution } from "@/components/caution";
import { Disclosure } from "@/components/disclosure";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { PageHeader } from "@/components/page-header";
import { StateBadge } from "@/components/state-badge";
import { TextLink } from "@/components/text-link";
import { ImagingSection } from "@/features/imaging/imaging-section";
import { PreferencesForTrial } from "@/features/preference/preferences-for-trial";
import { QualityLine, QualitySection } from "@/features/quality/quality-section";
import { numberedFindings } from "@/features/quality/quality-words";
import { useQuality } from "@/features/quality/use-quality";
import { SourceFiles } from "@/features/source-file/source-files";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import { MarkerEditor } from "./marker-editor";
import { MeasureSection } from "./measure-section";
import { RoomForm } from "./room-form";
import { TraceFigure } from "./trace-figure";
import classes from "./trial.module.css";
import { TrialSteps } from "./trial-steps";
import { type Trial, trialStates } from "./trial-words";

/** One trial from its plan to its acceptance: room, source files, phases, traces, measures. */
export function TrialScreen({ trialId }: { readonly trialId: string }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const trial = useQuery(trpc.trial.get.queryOptions({ studyId, trialId }));
  const [pickedS, setPickedS] = useState<number | null>(null);

  if (trial.isPending) return <LoadingState label="Reading the trial" lines={8} />;
  if (trial.isError) {
    return <QueryError error={trial.error} what="this trial" onRetry={() => trial.refetch()} />;
  }
  const { data } = trial;
  const hasTraces = data.sourceFiles.some((file) => file.state === "read");
  return (
    <>
      <PageHeader
        title={`${data.volunteerCode}\u00a0· ${data.condition.name}\u00a0· occasion\u00a0${data.occasion}`}
        trail={[{ label: "Trials", href: `/studies/${studyId}/trials` }]}
        summary={<Summary trial={data} studyId={studyId} />}
        actions={<TrialSteps trial={data} />}
      />
      <Standing trial={data} />
      <PreferencesForTrial key={`preferences ${trialId}`} volunteerId={data.volunteerId} />
      {hasTraces && data.storedUse && <QualityLine trialId={trialId} />}
      <RoomForm key={`room ${trialId}`} trial={data} />
      {data.storedUse && <ImagingSection key={`imaging ${trialId}`} trial={data} />}
      <SourceFiles trial={data} />
      <MarkerEditor
        key={`markers ${trialId}`}
        trial={data}
        pickedS={pickedS}
        onPicked={() => setPickedS(null)}
      />
      {hasTraces && data.storedUse && (
        <>
          <TracesAndQuality trial={data} onPickTime={setPickedS} />
          <MeasureSection trial={data} />
        </>
      )}
    </>
  );
}

interface TracesAndQualityProps {
  readonly trial: Trial;
  readonly onPickTime: (seconds: number) => void;
}

/** The figure and what was noticed in it, which choose from each other. */
function TracesAndQuality({ trial, onPickTime }: TracesAndQualityProps) {
  const quality = useQuality(trial.trialId);
  const [chosen, setChosen] = useState<string | null>(null);
  const findings = useMemo(
    () => (quality.data === undefined ? [] : numberedFindings(quality.data)),
    [quality.data],
  );
  const adjustments = (quality.data?.files ?? []).flatMap((file) =>
    file.adjustments.filter(({ state }) => state === "active"),
  ).length;
  return (
    <>
      <TraceFigure
        trial={trial}
        onPickTime={onPickTime}
        findings={findings}
        chosenFinding={chosen}
        onChooseFinding={setChosen}
        adjustments={adjustments}
      />
      <QualitySection
        trial={trial}
        chosen={chosen}
        onChoose={(id) => {
          setChosen(id === chosen ? null : id);
          if (id !== chosen) document.getElementById("traces")?.scrollIntoView();
        }}
      />
    </>
  );
}

function Summary({ trial, studyId }: { readonly trial: Trial; readonly studyId: string }) {
  const { name, shape, tone } = trialStates[trial.state];
  return (
    <span className={classes.summary}>
      <StateBadge shape={shape} tone={tone}>
        {name} since {formatMoment(trial.stateChangedAt)}
      </StateBadge>
      <span>
        Volunteer{" "}
        <TextLink href={`/studies/${studyId}/volunteers/${trial.volunteerId}`}>
          {trial.volunteerCode}
        </TextLink>
      </span>
      {trial.attempt > 1 && <span>attempt {trial.attempt}</span>}
      {trial.plannedFor !== null && <span>planned for {formatMoment(trial.plannedFor)}</span>}
      <span>protocol version {trial.protocol.version}</span>
    </span>
  );
}

/** What stands in the way, and what has to be remembered while the trial is run. */
function Standing({ trial }: { readonly trial: Trial }) {
  const lacks = trial.acceptanceLacks.filter((lack) => lack !== trial.consentMissing);
  return (
    <>
      {trial.consentMissing !== null && (
        <div className={classes.stop} role="alert">
          <p>
            <strong>No consent in force.</strong> {trial.consentMissing}
          </p>
          <p>
            {trial.storedUse
              ? "Nothing more is done with this trial. What was recorded may still be used, as the volunteer chose: it is shown here, and counts where it was accepted by then."
              : "What was recorded is kept, and is neither shown nor used: not here, in no comparison, in no release."}
          </p>
        </div>
      )}
      {trial.setAsideReason !== null && (
        <p className={classes.note}>
          Set aside: {trial.setAsideReason} It counts in no comparison and no release.
        </p>
      )}
      {(trial.state === "planned" || trial.state === "recorded" || trial.state === "checked") && (
        <>
          <Caution>
            <p>
              Stop the trial when one of the stop criteria is met. Local codes, the ethics body's decision and
              licensed practice prevail.
            </p>
            <Disclosure summary={`Stop criteria of this protocol (${trial.protocol.stopCriteria.length})`}>
              <ul>
                {trial.protocol.stopCriteria.map((criterion) => (
                  <li key={criterion}>{criterion}</li>
                ))}
              </ul>
            </Disclosure>
          </Caution>
          <div className={classes.lacks}>
            {lacks.length === 0 ? (
              trial.consentMissing === null && (
                <p>
                  {trial.regionsNotRecorded.length === 0
                    ? "Nothing is lacking: the trial can be accepted."
                    : "Nothing stands in the way: the trial can be accepted."}
                </p>
              )
            ) : (
              <>
                <p>Before it can be accepted:</p>
                <ul>
                  {lacks.map((lack) => (
                    <li key={lack}>{lack}</li>
                  ))}
                </ul>
              </>
            )}
            {trial.regionsNotRecorded.length > 0 && (
              <p>
                The protocol also wants {inWords(trial.regionsNotRecorded)}, and no source file of this trial
                holds {trial.regionsNotRecorded.length === 1 ? "it" : "them"}. Whatever rests on{" "}
                {trial.regionsNotRecorded.length === 1 ? "it" : "them"} stays without a number. Look at the
                column maps, or upload the file that is missing.
              </p>
            )}
          </div>
        </>
      )}
    </>
  );
}

/** "a; b and c": labels of regions hold commas themselves. */
function inWords(labels: readonly string[]): string {
  return labels.length < 2 ? labels.join("") : `${labels.slice(0, -1).join("; ")} and ${labels.at(-1)}`;
}
