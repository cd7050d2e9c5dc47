"use client";

import { Button, Menu } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { useState } from "react";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { ReasonDialog } from "@/components/reason-dialog";
import { useQuality } from "@/features/quality/use-quality";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { useRefreshTrial } from "./refresh-trial";
import { canChange, type Trial } from "./trial-words";

type Open = "accept" | "check" | "set aside" | "reopen" | "discard" | null;

/** What can be decided about a trial in its state, for whoever may decide it. */
export function TrialSteps({ trial }: { readonly trial: Trial }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const router = useRouter();
  const refresh = useRefreshTrial();
  const [open, setOpen] = useState<Open>(null);
  const accept = useMutation(trpc.trial.accept.mutationOptions());
  const check = useMutation(trpc.trial.markChecked.mutationOptions());
  const setAside = useMutation(trpc.trial.setAside.mutationOptions());
  const reopen = useMutation(trpc.trial.reopen.mutationOptions());
  const discard = useMutation(trpc.trial.discard.mutationOptions());
  const { state } = trial;
  const step = { studyId, trialId: trial.trialId, revision: trial.revision };
  const close = () => setOpen(null);

  const quality = useQuality(trial.trialId, state === "recorded" || state === "checked");
  const openFindings = quality.data?.openFindings ?? 0;
  const ready = trial.acceptanceLacks.length === 0 && trial.consentMissing === null;
  const offers = {
    accept: may("trial.accept") && (state === "recorded" || state === "checked"),
    check: may("trial.markChecked") && state === "recorded",
    setAside: may("trial.setAside") && state !== "set_aside",
    reopen: may("trial.reopen") && !(state === "planned" || state === "recorded"),
    discard: may("trial.discard") && state === "planned" && trial.sourceFiles.length === 0,
  };

  return (
    <>
      {offers.accept && (
        <Button variant="filled" disabled={!ready} onClick={() => setOpen("accept")}>
          Accept
        </Button>
      )}
      {offers.check && <Button onClick={() => setOpen("check")}>Mark as checked</Button>}
      {offers.reopen && <Button onClick={() => setOpen("reopen")}>Reopen</Button>}
      {offers.setAside && <Button onClick={() => setOpen("set aside")}>Set aside</Button>}
      {offers.discard && (
        <Menu position="bottom-end">
          <Menu.Target>
            <Button variant="subtle">More</Button>
          </Menu.Target>
          <Menu.Dropdown>
            <Menu.Item onClick={() => setOpen("discard")}>Discard this plan</Menu.Item>
          </Menu.Dropdown>
        </Menu>
      )}
      <ConfirmDialog
        opened={open === "accept"}
        onClose={close}
        title="Accept this trial"
        confirmLabel="Accept"
        onConfirm={async () => {
          await accept.mutateAsync(step);
          await refresh();
        }}
      >
        <p>
          Its measures and aligned traces are stored as they stand now and enter comparisons and releases.
          While it is accepted, room, markers and source files do not change; it can be reopened with a
          reason.
        </p>
        {openFindings > 0 && (
          <p>
            {openFindings === 1 ? "1 finding is" : `${openFindings} findings are`} still open: nobody
            adjusted, accepted or dismissed {openFindings === 1 ? "it" : "them"} yet.
          </p>
        )}
        <p>
          Look at the traces first: a step that all regions take at once, or a slow common drift, is more
          likely the camera than the body. Nothing here is a diagnosis.
        </p>
      </ConfirmDialog>
      <ConfirmDialog
        opened={open === "check"}
        onClose={close}
        title="Mark this trial as checked"
        confirmLabel="Mark as checked"
        onConfirm={async () => {
          await check.mutateAsync(step);
          await refresh();
        }}
      >
        <p>
          Says to the team that somebody has looked at files, phases and traces. A later change to them takes
          the mark away.
        </p>
      </ConfirmDialog>
      <ReasonDialog
        opened={open === "set aside"}
        onClose={close}
        title="Set this trial aside"
        explanation={
          <p>
            It then counts in no comparison and no release; everything recorded is kept. The same occasion can
            be planned again.
          </p>
        }
        confirmLabel="Set aside"
        maxLength={500}
        stops
        onConfirm={async (reason) => {
          await setAside.mutateAsync({ ...step, reason });
          await refresh();
        }}
      />
      <ReasonDialog
        opened={open === "reopen"}
        onClose={close}
        title="Reopen this trial"
        explanation={
          <p>
            {canChange(state)
              ? "The mark as checked is taken away."
              : "It leaves comparisons and future releases until it is accepted again."}
          </p>
        }
        confirmLabel="Reopen"
        maxLength={500}
        onConfirm={async (reason) => {
          await reopen.mutateAsync({ ...step, reason });
          await refresh();
        }}
      />
      <ConfirmDialog
        opened={open === "discard"}
        onClose={close}
        title="Discard this plan"
        confirmLabel="Discard"
        stops
        onConfirm={async () => {
          await discard.mutateAsync(step);
          router.push(`/studies/${studyId}/trials`);
        }}
      >
        <p>The plan, its room and its markers are removed for good. Nothing was recorded in it.</p>
      </ConfirmDialog>
    </>
  );
}
