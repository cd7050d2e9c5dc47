"use client";

import { Button } from "@mantine/core";
import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { ButtonLink } from "@/components/button-link";
import { Disclosure } from "@/components/disclosure";
import { EmptyState } from "@/components/empty-state";
import { formatMoment } from "@/components/format-moment";
import { LoadingState } from "@/components/loading-state";
import { SectionHeading } from "@/components/section-heading";
import stackedTable from "@/components/stacked-table.module.css";
import { StateBadge } from "@/components/state-badge";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { QueryError } from "@/trpc/query-error";
import classes from "./consent.module.css";
import { RecordPapers } from "./record-papers";
import { VolunteerLinks } from "./volunteer-links";
import { WithdrawDialog } from "./withdraw-dialog";
import { type ConsentEvent, permissionSign } from "./words";

/** What this volunteer permits now, and how it came about. */
export function ConsentOfVolunteer({ volunteerId }: { readonly volunteerId: string }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const [withdrawing, setWithdrawing] = useState(false);
  const consent = useQuery(trpc.consent.ofVolunteer.queryOptions({ studyId, volunteerId }));
  if (consent.isPending) return <LoadingState label="Reading the consent" />;
  if (consent.isError)
    return <QueryError error={consent.error} what="the consent" onRetry={() => consent.refetch()} />;
  const { data } = consent;
  const signed = data.history.some((event) => event.kind === "record");
  const recordLink =
    may("consent.record") && data.formInForce !== null ? (
      <ButtonLink
        href={`/studies/${studyId}/volunteers/${volunteerId}/consent`}
        variant={signed ? "default" : "filled"}
      >
        {signed ? "Record a new consent" : "Record consent"}
      </ButtonLink>
    ) : null;
  return (
    <section aria-labelledby="consent">
      <SectionHeading
        id="consent"
        explanation="What holds at this moment. Nothing is planned, stored or released without it."
        actions={
          signed ? (
            <>
              {recordLink}
              {may("consent.withdraw") && data.permissions.some((item) => item.allowed || item.storedUse) && (
                <Button onClick={() => setWithdrawing(true)}>Withdraw</Button>
              )}
            </>
          ) : undefined
        }
      >
        Consent
      </SectionHeading>
      {!signed ? (
        <EmptyState title="Nothing is signed yet." {...(recordLink === null ? {} : { action: recordLink })}>
          {data.formInForce === null ? (
            <>
              No <TextLink href={`/studies/${studyId}/consent`}>consent form</TextLink> is in force yet. Put
              one in force first.
            </>
          ) : (
            "Explain the consent form, then record what the volunteer decided, permission by permission."
          )}
        </EmptyState>
      ) : (
        <>
          {data.newerFormInForce && (
            <p>
              A newer version of the consent form is in force (version {data.formInForce?.version}) than the
              one signed (version {data.signedFormVersion}). What was signed still counts for what it said,
              and for nothing more, until the newer one is signed.
            </p>
          )}
          <ul className={classes.rows} aria-label="What may be done now">
            {data.gates.map((gate) => (
              <li key={gate.what} className={classes.row}>
                <StateBadge
                  shape={gate.shut === null ? "tick" : "struck"}
                  tone={gate.shut === null ? "accent" : "stop"}
                >
                  {gate.shut === null ? "open" : "shut"}
                </StateBadge>
                <span className={classes.grow}>
                  {gate.name}
                  {gate.shut !== null && <span className={classes.note}> · {gate.shut}</span>}
                </span>
              </li>
            ))}
          </ul>
          <div className={classes.scroll}>
            <table className={`${classes.table} ${stackedTable.stacked}`} aria-label="Permissions">
              <thead>
                <tr>
                  <th scope="col">Permission</th>
                  <th scope="col">Now</th>
                  <th scope="col">Since</th>
                </tr>
              </thead>
              <tbody>
                {data.permissions.map((item) => {
                  const sign = permissionSign(item);
                  return (
                    <tr key={item.key}>
                      <th scope="row" data-whole-line>
                        {item.label}
                      </th>
                      <td>
                        <StateBadge shape={sign.shape} tone={sign.tone}>
                          {sign.words}
                        </StateBadge>
                      </td>
                      <td className={classes.moment} data-label="Since">
                        {item.since === null ? "–" : formatMoment(item.since)}
                      </td>
                    </tr>
                  );
                })}
              </tbody>
            </table>
          </div>
          <Disclosure summary={`History (${data.history.length})`}>
            <ol className={classes.history}>
              {data.history.map((event) => (
                <li key={event.id}>
                  <HistoryEntry event={event} />
                </li>
              ))}
            </ol>
          </Disclosure>
        </>
      )}
      {may("volunteerLink.make") && (
        <VolunteerLinks volunteerId={volunteerId} code={data.code} formInForce={data.formInForce !== null} />
      )}
      <WithdrawDialog
        opened={withdrawing}
        onClose={() => setWithdrawing(false)}
        volunteerId={volunteerId}
        code={data.code}
        permissions={data.permissions}
      />
    </section>
  );
}

function HistoryEntry({ event }: { readonly event: ConsentEvent }) {
  const recorded = `Recorded ${formatMoment(event.recordedAt)} by ${event.by}.`;
  if (event.kind === "withdrawal") {
    return (
      <>
        <div>
          {formatMoment(event.at)}:{" "}
          {event.label === null ? "all permissions withdrawn" : `withdrawn: ${event.label}`}
        </div>
        <div className={classes.note}>
          {event.effect === "stop"
            ? "Stop only: what was stored may still be used."
            : "What was stored is excluded from future use."}{" "}
          {recorded} {event.reason === "" ? "No reason was given." : `Reason: ${event.reason}`}
        </div>
      </>
    );
  }
  return (
    <>
      <div>
        {formatMoment(event.at)}: consent form version {event.formVersion} signed
      </div>
      <div className={classes.note}>{recorded}</div>
      <RecordPapers record={event} />
      <ul>
        {event.decisions.map((decision) => (
          <li key={decision.key}>
            {decision.granted ? "Permitted" : "Refused"}: {decision.label}
          </li>
        ))}
      </ul>
    </>
  );
}
