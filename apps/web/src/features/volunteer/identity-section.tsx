"use client";

import { Button, Group } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { useEffect, useState } from "react";
import { formatMoment } from "@/components/format-moment";
import { KeyValueList } from "@/components/key-value-list";
import { ReasonDialog } from "@/components/reason-dialog";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { IdentityForm } from "./identity-form";
import classes from "./volunteer.module.css";
import type { Volunteer } from "./words";

type Identity = Outputs["identity"]["reveal"];

const shownForMinutes = 5;

export function IdentitySection({ volunteer }: { readonly volunteer: Volunteer }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const { volunteerId, code, identity: state } = volunteer;
  // Held by this component alone: never in the cache of queries, and gone when the page is left.
  const [shown, setShown] = useState<Identity | null>(null);
  const [asking, setAsking] = useState(false);
  const [editing, setEditing] = useState(false);
  const reveal = useMutation(trpc.identity.reveal.mutationOptions({ gcTime: 0 }));
  const visible = shown !== null;
  useEffect(() => {
    if (!visible) return;
    const hide = () => {
      setShown(null);
      setEditing(false);
    };
    const timer = setTimeout(hide, shownForMinutes * 60_000);
    // A page that the browser keeps for its Back button must not keep a name.
    window.addEventListener("pagehide", hide);
    return () => {
      clearTimeout(timer);
      window.removeEventListener("pagehide", hide);
    };
  }, [visible]);

  const entered = [
    ...(state.hasName ? ["name"] : []),
    ...(state.hasContact ? ["contact"] : []),
    ...(state.hasDateOfBirth ? ["date of birth"] : []),
  ];
  const nothing = entered.length === 0;
  return (
    <section aria-labelledby="identity">
      <SectionHeading
        id="identity"
        explanation="Encrypted and kept apart from everything else. Each time it is shown, the audit trail records who looked and why."
      >
        Identity
      </SectionHeading>
      {editing ? (
        <IdentityForm
          volunteerId={volunteerId}
          revision={shown?.revision ?? state.revision}
          began={shown}
          onDone={() => {
            setShown(null);
            setEditing(false);
          }}
          onCancel={() => setEditing(false)}
        />
      ) : shown === null ? (
        <>
          <KeyValueList
            items={[
              {
                label: "Entered",
                value: nothing ? "nothing yet" : entered.join(", "),
                ...(state.updatedAt === null
                  ? {}
                  : { note: `Last changed ${formatMoment(state.updatedAt)}.` }),
              },
            ]}
          />
          <Group gap="sm" mt="sm">
            {may("identity.reveal") && state.revision > 0 && (
              <Button onClick={() => setAsking(true)}>Show identity</Button>
            )}
            {may("identity.save") && state.revision === 0 && (
              <Button onClick={() => setEditing(true)}>Enter identity</Button>
            )}
            {!may("identity.reveal") && (
              <p className={classes.note}>Only lead investigators and operators of this study can see it.</p>
            )}
          </Group>
        </>
      ) : (
        <div className={classes.shown}>
          <KeyValueList
            items={[
              { label: "Name", value: shown.name === "" ? "–" : shown.name },
              { label: "Contact", value: shown.contact === "" ? "–" : shown.contact },
              { label: "Date of birth", value: shown.dateOfBirth === "" ? "–" : shown.dateOfBirth },
              ...shown.namesAsSigned.map((signed) => ({
                label: `Signed ${formatMoment(signed.signedAt)}`,
                value: signed.name,
              })),
            ]}
          />
          <Group gap="sm" mt="sm">
            <Button onClick={() => setShown(null)}>Hide</Button>
            {may("identity.save") && <Button onClick={() => setEditing(true)}>Change</Button>}
            <span className={classes.note}>
              Hides itself after {shownForMinutes} minutes, or when you leave this page.
            </span>
          </Group>
        </div>
      )}
      <ReasonDialog
        opened={asking}
        onClose={() => setAsking(false)}
        title={`Show who ${code} is?`}
        explanation="The audit trail keeps your name, this moment and the reason. Do not write the volunteer's name into it."
        reasonLabel="Why you need to see it"
        confirmLabel="Show identity"
        maxLength={500}
        onConfirm={async (reason) => {
          setShown(await reveal.mutateAsync({ studyId, volunteerId, reason }));
          reveal.reset();
        }}
      />
    </section>
  );
}
