"use client";

import { Button, Checkbox, Radio, Stack, Text, TextInput } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { FieldErrors } from "@/components/field-errors";
import { SectionHeading } from "@/components/section-heading";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";
import classes from "./for-you.module.css";
import { SignaturePad, type Strokes } from "./signature-pad";

interface SignFormProps {
  readonly token: string;
  readonly form: Outputs["forYou"]["read"]["form"];
  readonly onSigned: (signed: Outputs["forYou"]["sign"]) => void;
}

/** The decisions, one by one, and the signature. Nothing is decided beforehand. */
export function SignForm({ token, form, onSigned }: SignFormProps) {
  const trpc = useTRPC();
  const [decisions, setDecisions] = useState<Readonly<Record<string, boolean>>>({});
  const [name, setName] = useState("");
  const [typed, setTyped] = useState(false);
  const [strokes, setStrokes] = useState<Strokes>([]);
  const [confirmed, setConfirmed] = useState(false);
  const [tried, setTried] = useState(false);
  const sign = useMutation(trpc.forYou.sign.mutationOptions({ gcTime: 0 }));
  const failure = sign.error === null ? null : failureOf(sign.error);
  const open = openPoints();
  // Named at the first try to sign, and no longer once they are mended.
  const errors: Readonly<Record<string, string>> = { ...failure?.fields, ...(tried ? open : {}) };
  const refused = form.permissions.filter((item) => item.required && decisions[item.key] === false);

  function openPoints(): Readonly<Record<string, string>> {
    const found: Record<string, string> = {};
    for (const { key } of form.permissions) {
      if (decisions[key] === undefined) found[`decisions.${key}`] = "Please decide: yes or no.";
    }
    if (name.trim().length < 2) found.name = "Please type your name.";
    if (!typed && strokes.length === 0) {
      found.strokes = "Please draw your signature, or choose to sign with your typed name.";
    }
    if (!confirmed) found.confirmed = "Please confirm that these are your decisions.";
    return found;
  }

  const submit = (event: FormEvent) => {
    event.preventDefault();
    setTried(true);
    if (Object.keys(open).length > 0) return;
    sign.mutate(
      { token, formId: form.formId, decisions, name, strokes: typed ? null : strokes, confirmed: true },
      { onSuccess: onSigned },
    );
  };
  const labelOf = (path: string) => {
    if (path === "name") return "Your name";
    if (path === "strokes") return "Your signature";
    if (path === "confirmed") return "Confirmation";
    const asked = form.permissions.find((item) => `decisions.${item.key}` === path)?.label ?? path;
    // A colon follows.
    return asked.replace(/\.$/, "");
  };

  return (
    <form onSubmit={submit} noValidate className={classes.form}>
      <SectionHeading explanation="Each point by itself. Nothing is chosen for you.">
        Your decisions
      </SectionHeading>
      {form.permissions.map((item) => {
        const error = errors[`decisions.${item.key}`];
        return (
          <fieldset key={item.key} id={`decisions.${item.key}`} className={classes.decision} tabIndex={-1}>
            <legend>{item.label}</legend>
            {item.required && (
              <div className={classes.note}>
                Needed to take part. If you say no here, you do not take part, and that is all that follows.
              </div>
            )}
            <div className={classes.choices}>
              {([true, false] as const).map((granted) => (
                <Radio
                  key={String(granted)}
                  size="md"
                  name={item.key}
                  label={granted ? "Yes, I permit this" : "No, I do not"}
                  checked={decisions[item.key] === granted}
                  onChange={() => setDecisions((now) => ({ ...now, [item.key]: granted }))}
                />
              ))}
            </div>
            {error !== undefined && <div className={classes.error}>{error}</div>}
          </fieldset>
        );
      })}
      <div role="status">
        {refused.length > 0 && (
          <Text mt="md">
            You said no to something that is needed to take part. You can sign this: it is kept that you do
            not take part, and nothing is recorded of you. Or close this page; then nothing is kept at all.
          </Text>
        )}
      </div>
      <SectionHeading>Your signature</SectionHeading>
      <Stack gap="md">
        <TextInput
          id="name"
          label="Your name"
          description="Kept encrypted, apart from everything that is recorded of you."
          size="md"
          maw={560}
          autoComplete="name"
          value={name}
          onChange={(event) => setName(event.currentTarget.value)}
          error={errors.name}
        />
        <div id="strokes" tabIndex={-1}>
          {!typed && (
            <>
              <Text fw={500} mb={4}>
                Draw your signature
              </Text>
              <SignaturePad strokes={strokes} onChange={setStrokes} invalid={errors.strokes !== undefined} />
            </>
          )}
          <Checkbox
            mt="md"
            size="md"
            label="I sign with my typed name instead; it counts the same."
            checked={typed}
            onChange={(event) => setTyped(event.currentTarget.checked)}
          />
          {errors.strokes !== undefined && !typed && <div className={classes.error}>{errors.strokes}</div>}
        </div>
        <Checkbox
          id="confirmed"
          size="md"
          label="I have read the text, I could ask what I wanted to ask, and these are my own decisions."
          checked={confirmed}
          onChange={(event) => setConfirmed(event.currentTarget.checked)}
          error={errors.confirmed}
        />
        <FieldErrors
          title="Not signed yet. Still open:"
          errors={Object.entries(errors).map(([path, message]) => ({
            fieldId: path,
            label: labelOf(path),
            message,
          }))}
        />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message} What you entered is still on this page.
          </Text>
        )}
        <div>
          <Button type="submit" size="md" variant="filled" loading={sign.isPending || sign.isSuccess}>
            Sign
          </Button>
        </div>
      </Stack>
    </form>
  );
}
