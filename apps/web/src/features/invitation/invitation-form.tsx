"use client";

import { Button, Stack, Text, Textarea } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { z } from "zod";
import { Caution } from "@/components/caution";
import { SaveBar } from "@/components/save-bar";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { useLeaveGuard } from "@/components/use-leave-guard";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";
import { type Invitation, type InvitationTexts, questions } from "./invitation-words";

const theirTexts = z.object({
  revision: z.number(),
  texts: z.object({
    about: z.string(),
    seen: z.string(),
    worn: z.string(),
    measured: z.string(),
    duration: z.string(),
    room: z.string(),
    kept: z.string(),
    shown: z.string(),
    risks: z.string(),
    sayNo: z.string(),
    contact: z.string(),
  } satisfies Record<keyof InvitationTexts, z.ZodString>),
});

/** One answer for each question; before anything is written, what the protocol says stands there as a draft. */
export function InvitationForm({ invitation }: { readonly invitation: Invitation }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const began = invitation.texts ?? invitation.offered;
  // Nothing is kept of what is only offered.
  const [saved, setSaved] = useState({
    revision: invitation.revision,
    texts: invitation.texts,
    stillOpen: invitation.stillOpen,
  });
  const [texts, setTexts] = useState<InvitationTexts>(began);
  const save = useMutation(trpc.invitationText.save.mutationOptions());
  const unsaved = JSON.stringify(texts) !== JSON.stringify(saved.texts ?? began);
  useLeaveGuard(unsaved);
  const failure = save.error === null ? null : failureOf(save.error);
  const theirs = save.error === null ? null : changedMeanwhile(save.error, theirTexts);
  const saveAt = (revision: number) =>
    save.mutate(
      { studyId, revision, texts },
      {
        onSuccess: async (answer) => {
          setSaved({ ...answer, texts });
          await queries.invalidateQueries({ queryKey: trpc.invitationText.pathKey() });
        },
      },
    );
  return (
    <>
      <Caution>
        These are proposals to adapt, not a finished text. The ethics body's decision on what people are told
        prevails. What stands in [[double brackets]] is yours to fill in.
      </Caution>
      {theirs !== null && (
        <UnsavedConflict
          record="this invitation"
          fields={questions
            .map(({ key, heading }) => ({ label: heading, mine: texts[key], theirs: theirs.texts[key] }))
            .filter((field) => field.mine !== field.theirs)}
          onKeepMine={() => saveAt(theirs.revision)}
          onTakeTheirs={() => {
            save.reset();
            setTexts(theirs.texts);
            setSaved((now) => ({ ...now, revision: theirs.revision, texts: theirs.texts }));
          }}
          pending={save.isPending}
        />
      )}
      <Stack gap="lg" maw={720} mt="lg">
        {questions.map(({ key, heading, prompt }) => (
          <Textarea
            key={key}
            label={heading}
            description={prompt}
            autosize
            minRows={3}
            maxRows={16}
            value={texts[key]}
            onChange={(event) => {
              const { value } = event.currentTarget;
              setTexts((now) => ({ ...now, [key]: value }));
            }}
            error={failure?.fields[`texts.${key}`]}
          />
        ))}
      </Stack>
      <SaveBar
        state={
          failure !== null && theirs === null ? (
            <Text role="alert" c="var(--mantine-color-error)" inherit>
              Not saved. {failure.message}
            </Text>
          ) : saved.texts === null ? (
            "A draft from the protocol. Nothing is kept until you save."
          ) : unsaved ? (
            "Unsaved changes"
          ) : saved.stillOpen.length > 0 ? (
            `Saved. Still to fill in: ${saved.stillOpen.length} ${saved.stillOpen.length === 1 ? "place" : "places"} in [[double brackets]].`
          ) : (
            "Everything is saved."
          )
        }
      >
        <Button
          variant="filled"
          loading={save.isPending}
          disabled={theirs !== null}
          onClick={() => saveAt(saved.revision)}
        >
          Save invitation
        </Button>
      </SaveBar>
    </>
  );
}
