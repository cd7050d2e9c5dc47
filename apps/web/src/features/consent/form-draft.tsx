"use client";

import { Button, SegmentedControl, Text, Textarea, TextInput } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { useState } from "react";
import { z } from "zod";
import { Caution } from "@/components/caution";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { MarkdownText } from "@/components/markdown-text";
import { SaveBar } from "@/components/save-bar";
import { SectionHeading } from "@/components/section-heading";
import { UnsavedConflict } from "@/components/unsaved-conflict";
import { useLeaveGuard } from "@/components/use-leave-guard";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { changedMeanwhile, failureOf } from "@/trpc/failure";
import classes from "./consent.module.css";
import { PermissionList } from "./permission-list";
import type { ConsentForm } from "./words";

const permission = z.object({ key: z.string(), label: z.string(), required: z.boolean() });
const savedMeanwhile = z.object({
  revision: z.number(),
  title: z.string(),
  text: z.string(),
  permissions: z.array(permission),
});
type Fields = Omit<z.output<typeof savedMeanwhile>, "revision">;

const permissionsText = (fields: Fields) =>
  fields.permissions.map((item) => `${item.label}${item.required ? " (required)" : ""}`).join("\n");

export function FormDraft({ form }: { readonly form: ConsentForm }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const router = useRouter();
  const { formId } = form;
  const began: Fields = { title: form.title, text: form.text, permissions: form.permissions };
  const [saved, setSaved] = useState({ revision: form.revision, fields: began, missing: form.missing });
  const [fields, setFields] = useState(began);
  const [shown, setShown] = useState<"write" | "read">("write");
  const [dialog, setDialog] = useState<"put in force" | "discard" | null>(null);
  const save = useMutation(trpc.consent.saveForm.mutationOptions());
  const putInForce = useMutation(trpc.consent.putFormInForce.mutationOptions());
  const discard = useMutation(trpc.consent.discardForm.mutationOptions());

  const unsaved = JSON.stringify(fields) !== JSON.stringify(saved.fields);
  useLeaveGuard(unsaved);
  const failure = save.error === null ? null : failureOf(save.error);
  const theirs = save.error === null ? null : changedMeanwhile(save.error, savedMeanwhile);
  const errors = failure?.fields ?? {};
  const set = (change: Partial<Fields>) => setFields((now) => ({ ...now, ...change }));

  const saveAt = async (revision: number) => {
    const answer = await save.mutateAsync({ studyId, formId, revision, ...fields });
    setSaved({ ...answer, fields });
    await queries.invalidateQueries({ queryKey: trpc.consent.pathKey() });
    return answer;
  };
  // What went wrong is kept by the mutation and shown beside the fields.
  const saveNow = (revision: number) => saveAt(revision).catch(() => undefined);
  const leave = async () => {
    await Promise.all([
      queries.invalidateQueries({ queryKey: trpc.consent.pathKey() }),
      queries.invalidateQueries({ queryKey: trpc.study.pathKey() }),
    ]);
    router.push(`/studies/${studyId}/consent`);
  };

  return (
    <>
      <Caution>
        This text is a proposal to adapt, not a finished consent form. Local codes, the ethics body's decision
        and licensed practice prevail. What stands in [[double brackets]] has to be filled in before the form
        can be put in force.
      </Caution>
      {theirs !== null && (
        <UnsavedConflict
          record="this consent form"
          fields={[
            { label: "Title", mine: fields.title, theirs: theirs.title },
            { label: "Text", mine: fields.text, theirs: theirs.text },
            { label: "Permissions", mine: permissionsText(fields), theirs: permissionsText(theirs) },
          ].filter((row) => row.mine !== row.theirs)}
          onKeepMine={() => saveNow(theirs.revision)}
          onTakeTheirs={() => {
            save.reset();
            const { revision, ...content } = theirs;
            setFields(content);
            setSaved((now) => ({ ...now, revision, fields: content }));
          }}
          pending={save.isPending}
        />
      )}
      {saved.missing.length > 0 && (
        <section aria-labelledby="missing">
          <SectionHeading id="missing" explanation="As of the last save.">
            Before it can be put in force
          </SectionHeading>
          <ul>
            {saved.missing.map((item) => (
              <li key={item.message}>
                <a href={`#${item.field}`}>{item.message}</a>
              </li>
            ))}
          </ul>
        </section>
      )}
      <SectionHeading>Text</SectionHeading>
      <TextInput
        id="title"
        label="Title"
        maw={720}
        value={fields.title}
        onChange={(event) => set({ title: event.currentTarget.value })}
        error={errors.title}
      />
      <SegmentedControl
        mt="md"
        mb="sm"
        aria-label="Show the text"
        data={[
          { value: "write", label: "Write" },
          { value: "read", label: "As volunteers read it" },
        ]}
        value={shown}
        onChange={(value) => setShown(value === "read" ? "read" : "write")}
      />
      {shown === "write" ? (
        <Textarea
          id="text"
          label="Text of the consent form"
          description="Markdown: ## for a heading, - for a list, **bold**."
          autosize
          minRows={16}
          maxRows={40}
          value={fields.text}
          onChange={(event) => set({ text: event.currentTarget.value })}
          error={errors.text}
        />
      ) : (
        <div className={classes.paper}>
          <MarkdownText text={fields.text} />
        </div>
      )}
      <SectionHeading explanation="Each is decided on its own. Images, sharing and later contact are separate on purpose: nobody has to allow everything to take part.">
        Permissions
      </SectionHeading>
      <PermissionList
        permissions={fields.permissions}
        onChange={(permissions) => set({ permissions })}
        errors={errors}
      />
      <SaveBar
        state={
          failure !== null && theirs === null ? (
            <Text role="alert" c="var(--mantine-color-error)" inherit>
              Not saved. {failure.message}
            </Text>
          ) : unsaved ? (
            "Unsaved changes"
          ) : (
            "Everything is saved."
          )
        }
      >
        <Button
          variant="filled"
          loading={save.isPending}
          disabled={theirs !== null}
          onClick={() => saveNow(saved.revision)}
        >
          Save draft
        </Button>
        <Button disabled={theirs !== null || save.isPending} onClick={() => setDialog("put in force")}>
          Put in force
        </Button>
        <Button variant="subtle" disabled={save.isPending} onClick={() => setDialog("discard")}>
          Discard draft
        </Button>
      </SaveBar>
      <ConfirmDialog
        opened={dialog === "put in force"}
        onClose={() => setDialog(null)}
        title={`Put version ${form.version} in force?`}
        confirmLabel="Put in force"
        onConfirm={async () => {
          const { revision } = unsaved ? await saveAt(saved.revision) : saved;
          await putInForce.mutateAsync({ studyId, formId, revision });
          await leave();
        }}
      >
        From then on this text never changes, because people sign exactly this; a change is a new version.
        What was signed on a former version still counts for what it said. The ethics body's decision on the
        text prevails.
      </ConfirmDialog>
      <ConfirmDialog
        opened={dialog === "discard"}
        onClose={() => setDialog(null)}
        title={`Discard the draft of version ${form.version}?`}
        confirmLabel="Discard draft"
        cancelLabel="Keep it"
        stops
        onConfirm={async () => {
          await discard.mutateAsync({ studyId, formId, revision: saved.revision });
          await leave();
        }}
      >
        What was written in it is gone. A version in force stays as it is.
      </ConfirmDialog>
    </>
  );
}
