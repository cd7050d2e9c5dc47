"use client";

import { Button, Text } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import plain from "@/components/plain-table.module.css";
import { SectionHeading } from "@/components/section-heading";
import stackedTable from "@/components/stacked-table.module.css";
import { TextLink } from "@/components/text-link";
import { LinkShown } from "@/features/for-you/link-shown";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import classes from "./consent.module.css";

type Concerned = Outputs["consent"]["askAgain"]["concerned"][number];

/** Who takes part by an older version of the consent form, what that does not cover, and a link to sign for each. */
export function AskAgain() {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const asked = useQuery(trpc.consent.askAgain.queryOptions({ studyId }));
  const make = useMutation(trpc.volunteerLink.make.mutationOptions({ gcTime: 0 }));
  const [shown, setShown] = useState<{ code: string; address: string } | null>(null);
  if (asked.isPending) return <LoadingState label="Reading who is to be asked again" />;
  if (asked.isError) {
    return <QueryError error={asked.error} what="who is to be asked again" onRetry={() => asked.refetch()} />;
  }
  const { version, concerned, upToDate } = asked.data;
  if (version === null || version === 1) return null;
  const give = ({ volunteerId, code }: Concerned) =>
    make.mutate(
      { studyId, volunteerId, purpose: "sign", here: false },
      {
        onSuccess: async ({ token }) => {
          setShown({ code, address: `${window.location.origin}/for-you/${token}` });
          await queries.invalidateQueries({ queryKey: trpc.consent.pathKey() });
        },
      },
    );
  return (
    <section aria-labelledby="ask-again">
      <SectionHeading
        id="ask-again"
        explanation="What they signed counts for what it said, and for nothing more, until they sign the version in force. Who has taken part back is not asked."
      >
        To be asked again
      </SectionHeading>
      {concerned.length === 0 ? (
        <p>
          Nobody: {upToDate === 0 ? "nobody takes part yet" : "all who take part signed"}
          {upToDate === 0 ? "." : ` version ${version}.`}
        </p>
      ) : (
        <>
          {make.error !== null && (
            <Text role="alert" c="var(--mantine-color-error)">
              {failureOf(make.error).message} No link was made.
            </Text>
          )}
          {shown !== null && (
            <LinkShown
              label={`Link for ${shown.code}, to sign version ${version}`}
              description="Shown only now: it is not kept anywhere. Hand it to nobody but the volunteer."
              address={shown.address}
            />
          )}
          <div className={plain.scroll}>
            <table className={`${plain.table} ${stackedTable.stacked}`} aria-label="To be asked again">
              <thead>
                <tr>
                  <th scope="col">Volunteer</th>
                  <th scope="col">Signed</th>
                  <th scope="col">Not covered by it</th>
                  <th scope="col">Link to sign</th>
                </tr>
              </thead>
              <tbody>
                {concerned.map((row) => (
                  <tr key={row.volunteerId}>
                    <th scope="row">
                      <TextLink href={`/studies/${studyId}/volunteers/${row.volunteerId}`} quiet>
                        {row.code}
                      </TextLink>
                    </th>
                    <td data-label="Signed">
                      version {row.signedVersion}, {row.signedAt.slice(0, 10)}
                    </td>
                    <td data-label="Not covered by it">
                      <Differences row={row} />
                    </td>
                    <td data-label="Link to sign">
                      {row.linkUntil !== null && <div>open until {formatMoment(row.linkUntil)}</div>}
                      {may("volunteerLink.make") && (
                        <Button
                          size="compact-sm"
                          loading={make.isPending && make.variables.volunteerId === row.volunteerId}
                          aria-label={`Make a link to sign for ${row.code}`}
                          onClick={() => give(row)}
                        >
                          Make a link
                        </Button>
                      )}
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        </>
      )}
    </section>
  );
}

/** What the version in force asks for beyond what was signed. */
function Differences({ row }: { readonly row: Concerned }) {
  const lines = [
    ...row.notAsked.map((label) => `Not asked: ${label}`),
    ...row.reworded.map(({ was, is }) => `In other words: “${was}” is now “${is}”`),
    ...row.nowRequired.map((label) => `Needed to take part now: ${label}`),
    ...row.dropped.map((label) => `No longer asked: ${label}`),
  ];
  if (lines.length === 0) return "The permissions are the same; the text is another one.";
  return (
    <ul className={classes.plainList}>
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  );
}
