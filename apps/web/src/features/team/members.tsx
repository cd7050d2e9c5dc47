"use client";

import { roleNames } from "@acral/api/access";
import { Button, NativeSelect, Text } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import { useState } from "react";
import { ConfirmDialog } from "@/components/confirm-dialog";
import stackedTable from "@/components/stacked-table.module.css";
import { type Role, useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import classes from "./team.module.css";
import { roleChoices, roleDuties, roles } from "./words";

type Member = Outputs["team"]["list"]["members"][number];

export function Members({ members }: { readonly members: readonly Member[] }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const router = useRouter();
  const changeRole = useMutation(trpc.team.changeRole.mutationOptions());
  const remove = useMutation(trpc.team.remove.mutationOptions());
  const [change, setChange] = useState<{ member: Member; role: Role } | null>(null);
  const [removal, setRemoval] = useState<Member | null>(null);
  // A study keeps a lead investigator; the server refuses it as well.
  const leads = members.filter(({ role }) => role === "lead_investigator");
  const isOnlyLead = ({ role }: Member) => role === "lead_investigator" && leads.length === 1;
  const refresh = async () => {
    await queries.invalidateQueries({ queryKey: trpc.team.pathKey() });
    // One's own role decides what every screen offers.
    router.refresh();
  };
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard
    <section className={classes.scroll} tabIndex={0} aria-label="Members of the team">
      <table className={`${classes.table} ${stackedTable.stacked}`} aria-label="Members">
        <thead>
          <tr>
            <th scope="col">Name</th>
            <th scope="col">E-mail</th>
            <th scope="col">Role</th>
            <th scope="col">Since</th>
            {may("team.remove") && <th scope="col">Change</th>}
          </tr>
        </thead>
        <tbody>
          {members.map((member) => (
            <tr key={member.userId}>
              <th scope="row">
                {member.name}
                {member.isYou && " (you)"}
              </th>
              <td>{member.email}</td>
              <td>
                {may("team.changeRole") && !isOnlyLead(member) ? (
                  <NativeSelect
                    aria-label={`Role of ${member.name}`}
                    data={roleChoices}
                    value={member.role}
                    w={190}
                    onChange={(event) => {
                      const role = roles.find((known) => known === event.currentTarget.value);
                      if (role !== undefined) setChange({ member, role });
                    }}
                  />
                ) : (
                  roleNames[member.role]
                )}
              </td>
              <td className={classes.moment} data-label="Since">
                {member.since.slice(0, 10)}
              </td>
              {may("team.remove") && (
                <td>
                  {isOnlyLead(member) ? (
                    <Text size="sm" c="dimmed">
                      the only lead investigator
                    </Text>
                  ) : (
                    <Button
                      size="compact-sm"
                      variant="subtle"
                      aria-label={`Remove ${member.name}`}
                      onClick={() => setRemoval(member)}
                    >
                      Remove
                    </Button>
                  )}
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
      <ConfirmDialog
        opened={change !== null}
        onClose={() => setChange(null)}
        title={change === null ? "" : `Make ${change.member.name} ${roleNames[change.role]}?`}
        confirmLabel="Change the role"
        onConfirm={async () => {
          if (change === null) return;
          await changeRole.mutateAsync({ studyId, userId: change.member.userId, role: change.role });
          await refresh();
        }}
      >
        {change !== null && `As ${roleNames[change.role]}: ${roleDuties[change.role]}. In force at once.`}
      </ConfirmDialog>
      <ConfirmDialog
        opened={removal !== null}
        onClose={() => setRemoval(null)}
        title={removal === null ? "" : `Remove ${removal.name} from this study?`}
        confirmLabel="Remove"
        stops
        onConfirm={async () => {
          if (removal === null) return;
          await remove.mutateAsync({ studyId, userId: removal.userId });
          await refresh();
        }}
      >
        Access ends at once. What this person entered stays, and the audit trail keeps the name. An invitation
        brings somebody back.
      </ConfirmDialog>
    </section>
  );
}
