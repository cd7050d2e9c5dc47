"use client";

import { roleNames } from "@acral/api/access";
import { Button, CopyButton, NativeSelect, Text, TextInput } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { EmptyState } from "@/components/empty-state";
import { formatMoment } from "@/components/format-moment";
import { SectionHeading } from "@/components/section-heading";
import stackedTable from "@/components/stacked-table.module.css";
import { type Role, useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";
import classes from "./team.module.css";
import { roleChoices, roleDuties, roles } from "./words";

type Invitation = Outputs["team"]["list"]["invitations"][number];

export function Invitations({ invitations }: { readonly invitations: readonly Invitation[] }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const revoke = useMutation(trpc.team.revokeInvitation.mutationOptions());
  const [revoking, setRevoking] = useState<Invitation | null>(null);
  return (
    <section aria-labelledby="invitations">
      <SectionHeading
        id="invitations"
        explanation="An invitation is a link that works once, for seven days. Hand it over yourself: no mail is sent."
      >
        Invitations
      </SectionHeading>
      {may("team.invite") && <InviteForm />}
      {invitations.length === 0 ? (
        <EmptyState title="Nobody is invited.">
          {may("team.invite")
            ? "Invite the people who work with you on this study."
            : "A lead investigator invites."}
        </EmptyState>
      ) : (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard
        <section className={classes.scroll} tabIndex={0} aria-label="Invitations to the team">
          <table className={`${classes.table} ${stackedTable.stacked}`} aria-label="Invitations">
            <thead>
              <tr>
                <th scope="col">E-mail</th>
                <th scope="col">Role</th>
                <th scope="col">State</th>
                <th scope="col">Works until</th>
                {may("team.revokeInvitation") && <th scope="col">Change</th>}
              </tr>
            </thead>
            <tbody>
              {invitations.map((invitation) => (
                <tr key={invitation.invitationId}>
                  <th scope="row">{invitation.email}</th>
                  <td>{roleNames[invitation.role]}</td>
                  <td>{invitation.state}</td>
                  <td className={classes.moment} data-label="Works until">
                    {formatMoment(invitation.expiresAt)}
                  </td>
                  {may("team.revokeInvitation") && (
                    <td>
                      {invitation.state === "open" && (
                        <Button
                          size="compact-sm"
                          variant="subtle"
                          aria-label={`Revoke the invitation of ${invitation.email}`}
                          onClick={() => setRevoking(invitation)}
                        >
                          Revoke
                        </Button>
                      )}
                    </td>
                  )}
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      )}
      <ConfirmDialog
        opened={revoking !== null}
        onClose={() => setRevoking(null)}
        title="Revoke this invitation?"
        confirmLabel="Revoke"
        stops
        onConfirm={async () => {
          if (revoking === null) return;
          await revoke.mutateAsync({ studyId, invitationId: revoking.invitationId });
          await queries.invalidateQueries({ queryKey: trpc.team.pathKey() });
        }}
      >
        The link of {revoking?.email} stops working at once.
      </ConfirmDialog>
    </section>
  );
}

function InviteForm() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const [email, setEmail] = useState("");
  const [role, setRole] = useState<Role>("operator");
  const [link, setLink] = useState<{ email: string; address: string } | null>(null);
  const invite = useMutation(trpc.team.invite.mutationOptions({ gcTime: 0 }));
  const failure = invite.error === null ? null : failureOf(invite.error);
  const errors = failure?.fields ?? {};
  const submit = (event: FormEvent) => {
    event.preventDefault();
    invite.mutate(
      { studyId, email, role },
      {
        onSuccess: async ({ token }) => {
          setLink({ email, address: `${window.location.origin}/invitation/${token}` });
          setEmail("");
          await queries.invalidateQueries({ queryKey: trpc.team.pathKey() });
        },
      },
    );
  };
  return (
    <form onSubmit={submit} noValidate className={classes.invite}>
      <div className={classes.fields}>
        <TextInput
          type="email"
          label="E-mail"
          w={280}
          maw="100%"
          value={email}
          autoComplete="off"
          onChange={(event) => setEmail(event.currentTarget.value)}
          error={errors.email}
        />
        <NativeSelect
          label="Role"
          data={roleChoices}
          value={role}
          onChange={(event) => setRole(roles.find((known) => known === event.currentTarget.value) ?? role)}
        />
        <Button type="submit" mt={26} variant="filled" loading={invite.isPending}>
          Invite
        </Button>
      </div>
      <Text c="dimmed" size="sm" mt={4}>
        {roleNames[role]}: {roleDuties[role]}.
      </Text>
      {failure !== null && Object.keys(errors).length === 0 && (
        <Text role="alert" c="var(--mantine-color-error)">
          {failure.message}
        </Text>
      )}
      {link !== null && (
        <div className={classes.link} role="status">
          <TextInput
            className={classes.address ?? ""}
            label={`Link for ${link.email}`}
            description="Shown only now: it is not kept anywhere. Copy it and hand it over."
            value={link.address}
            readOnly
            onFocus={(event) => event.currentTarget.select()}
          />
          <CopyButton value={link.address}>
            {({ copied, copy }) => <Button onClick={copy}>{copied ? "Copied" : "Copy the link"}</Button>}
          </CopyButton>
        </div>
      )}
    </form>
  );
}
