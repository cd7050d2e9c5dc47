"use client";

import { Button, Text } from "@mantine/core";
import { notifications } from "@mantine/notifications";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { SectionHeading } from "@/components/section-heading";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import classes from "./sessions.module.css";

type Session = Outputs["session"]["list"][number];

/** "Firefox on Linux", as far as the browser says it; what a browser says of itself can be invented. */
function deviceName(device: string | null): string {
  if (device === null) return "a device that does not say what it is";
  const browser = /(Firefox|Edg|OPR|Chrome|Safari)\//.exec(device)?.[1];
  const system = /(Windows|Android|iPhone|iPad|Mac OS|Linux)/.exec(device)?.[1];
  if (browser === undefined) return device.slice(0, 60);
  const name = { Edg: "Edge", OPR: "Opera" }[browser] ?? browser;
  return system === undefined ? name : `${name} on ${system}`;
}

/** Where one is signed in, each with a way to end it. */
export function Sessions() {
  const trpc = useTRPC();
  const queries = useQueryClient();
  const list = useQuery(trpc.session.list.queryOptions());
  const end = useMutation(trpc.session.end.mutationOptions());
  const endOthers = useMutation(trpc.session.endOthers.mutationOptions());
  const [ending, setEnding] = useState<Session | "others" | null>(null);
  const others = (list.data ?? []).filter(({ isThis }) => !isThis);

  return (
    <section aria-labelledby="sessions">
      <SectionHeading
        id="sessions"
        explanation="Every browser in which you are signed in. End what you do not know, then change your password."
      >
        Where you are signed in
      </SectionHeading>
      {list.isError ? (
        <QueryError error={list.error} what="your sessions" onRetry={() => list.refetch()} />
      ) : list.data === undefined ? (
        <LoadingState label="Reading your sessions" />
      ) : (
        <ul className={classes.list}>
          {list.data.map((session) => (
            <li key={session.sessionId} className={classes.session}>
              <div>
                <div title={session.device ?? undefined}>
                  {deviceName(session.device)}
                  {session.isThis && <strong> (this one)</strong>}
                </div>
                <Text size="sm" c="dimmed">
                  {session.address === null ? "from an unknown address" : `from ${session.address}`}, since{" "}
                  {formatMoment(session.since)}, last seen {formatMoment(session.lastSeen)}
                </Text>
              </div>
              {!session.isThis && (
                <Button
                  size="compact-sm"
                  variant="subtle"
                  aria-label={`End the session of ${deviceName(session.device)}, since ${formatMoment(session.since)}`}
                  onClick={() => setEnding(session)}
                >
                  End
                </Button>
              )}
            </li>
          ))}
        </ul>
      )}
      {others.length > 1 && <Button onClick={() => setEnding("others")}>End all others</Button>}
      <ConfirmDialog
        opened={ending !== null}
        onClose={() => setEnding(null)}
        title={ending === "others" ? "End all other sessions?" : "End this session?"}
        confirmLabel="End"
        stops
        onConfirm={async () => {
          if (ending === null) return;
          if (ending === "others") await endOthers.mutateAsync();
          else await end.mutateAsync({ sessionId: ending.sessionId });
          await queries.invalidateQueries({ queryKey: trpc.session.pathKey() });
          notifications.show({ title: "Ended", message: "Signed out there at once." });
        }}
      >
        Whoever uses it is signed out at once. What was not saved there is lost.
      </ConfirmDialog>
    </section>
  );
}
