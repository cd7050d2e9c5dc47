"use client";

import { Button, Group, Stack, Text } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { SectionHeading } from "@/components/section-heading";
import { signOut } from "@/features/account/sign-in-client";
import { LinkShown } from "@/features/for-you/link-shown";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import classes from "./consent.module.css";

type Link = Outputs["volunteerLink"]["list"][number];

const purposes: Readonly<Record<Link["purpose"], string>> = {
  sign: "to read, decide and sign",
  own: "own page",
  invitation: "invitation",
};
/** What each opens, below the token. */
const pages = {
  sign: { label: "to sign", path: "" },
  own: { label: "to the own page", path: "/own" },
  invitation: { label: "to the invitation", path: "/invitation" },
} as const satisfies Record<Link["purpose"], { readonly label: string; readonly path: string }>;
const states: Readonly<Record<Link["state"], string>> = {
  open: "open",
  used: "used",
  revoked: "revoked",
  expired: "expired",
};

interface VolunteerLinksProps {
  readonly volunteerId: string;
  readonly code: string;
  /** Whether a consent form is in force, which could be signed. */
  readonly formInForce: boolean;
}

/** Links by which a volunteer, who has no account, signs and sees the own page. */
export function VolunteerLinks({ volunteerId, code, formInForce }: VolunteerLinksProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const links = useQuery(trpc.volunteerLink.list.queryOptions({ studyId, volunteerId }));
  const make = useMutation(trpc.volunteerLink.make.mutationOptions({ gcTime: 0 }));
  const revoke = useMutation(trpc.volunteerLink.revoke.mutationOptions());
  const [shown, setShown] = useState<{ label: string; address: string } | null>(null);
  const [handing, setHanding] = useState(false);
  const [revoking, setRevoking] = useState<Link | null>(null);
  const again = () => queries.invalidateQueries({ queryKey: trpc.volunteerLink.pathKey() });

  const give = (purpose: Link["purpose"]) =>
    make.mutate(
      { studyId, volunteerId, purpose, here: false },
      {
        onSuccess: async ({ token }) => {
          setShown({
            label: `Link for ${code}, ${pages[purpose].label}`,
            address: `${window.location.origin}/for-you/${token}${pages[purpose].path}`,
          });
          await again();
        },
      },
    );
  return (
    <section aria-labelledby="links">
      <SectionHeading
        id="links"
        explanation="By a link a volunteer reads the consent form, decides and signs, without an account. It is shown once; only a hash of it is kept."
      >
        Links for {code}
      </SectionHeading>
      <Group gap="sm">
        <Button loading={make.isPending} onClick={() => give("invitation")}>
          Make a link to the invitation
        </Button>
        {formInForce && (
          <>
            <Button onClick={() => setHanding(true)}>Sign on this device</Button>
            <Button loading={make.isPending} onClick={() => give("sign")}>
              Make a link to sign
            </Button>
          </>
        )}
        <Button loading={make.isPending} onClick={() => give("own")}>
          Make a link to the own page
        </Button>
      </Group>
      {make.error !== null && (
        <Text role="alert" c="var(--mantine-color-error)" mt="xs">
          {failureOf(make.error).message}
        </Text>
      )}
      {shown !== null && (
        <Stack mt="md">
          <LinkShown
            label={shown.label}
            description="Shown only now: it is not kept anywhere. Hand it to nobody but the volunteer."
            address={shown.address}
          />
        </Stack>
      )}
      {links.isPending ? (
        <LoadingState label="Reading the links" />
      ) : links.isError ? (
        <QueryError error={links.error} what="the links" onRetry={() => links.refetch()} />
      ) : (
        links.data.length > 0 && (
          <ul className={classes.rows} aria-label="Links made so far" style={{ marginTop: 16 }}>
            {links.data.map((link) => (
              <li key={link.linkId} className={classes.row}>
                <span className={classes.grow}>
                  {purposes[link.purpose]}
                  {link.here ? ", on a device of the team" : ""}: {states[link.state]}
                  <span className={classes.note}>
                    {" "}
                    · made {formatMoment(link.createdAt)} by {link.createdByName}, until{" "}
                    {formatMoment(link.expiresAt)}
                  </span>
                </span>
                {link.state === "open" && (
                  <Button
                    size="compact-sm"
                    aria-label={`Revoke the link ${purposes[link.purpose]}, made ${formatMoment(link.createdAt)}`}
                    onClick={() => setRevoking(link)}
                  >
                    Revoke
                  </Button>
                )}
              </li>
            ))}
          </ul>
        )
      )}
      <HandOver opened={handing} onClose={() => setHanding(false)} volunteerId={volunteerId} code={code} />
      <ConfirmDialog
        opened={revoking !== null}
        onClose={() => setRevoking(null)}
        title="Revoke this link?"
        confirmLabel="Revoke"
        stops
        onConfirm={async () => {
          if (revoking === null) return;
          await revoke.mutateAsync({ studyId, linkId: revoking.linkId });
          await again();
        }}
      >
        It stops working at once. What was signed by it stays.
      </ConfirmDialog>
    </section>
  );
}

interface HandOverProps {
  readonly opened: boolean;
  readonly onClose: () => void;
  readonly volunteerId: string;
  readonly code: string;
}

/** Handing a device over signs its user out first: nothing of the study can be reached from the page that follows. */
function HandOver({ opened, onClose, volunteerId, code }: HandOverProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const make = useMutation(trpc.volunteerLink.make.mutationOptions({ gcTime: 0 }));
  return (
    <ConfirmDialog
      opened={opened}
      onClose={onClose}
      title={`Hand this device to ${code}?`}
      confirmLabel="Sign me out and open the form"
      onConfirm={async () => {
        const { token } = await make.mutateAsync({ studyId, volunteerId, purpose: "sign", here: true });
        const problem = await signOut();
        if (problem !== null) throw new Error(problem);
        window.location.replace(`/for-you/${token}`);
      }}
    >
      You are signed out on this device, so that nothing of the study can be reached from it. The page then
      shows the consent form alone, for two hours. Afterwards take the device back and sign in again.
    </ConfirmDialog>
  );
}
