"use client";

import { Disclosure } from "@/components/disclosure";
import { StateBadge } from "@/components/state-badge";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import type { Trial } from "@/features/trial/trial-words";
import classes from "./imaging.module.css";
import { placeNames, type ReportingItem, type TrialImaging } from "./imaging-words";

interface ReportingSummaryProps {
  readonly trial: Trial;
  readonly imaging: TrialImaging;
}

/** n of 15, what is missing, and every item for whoever asks. */
export function ReportingSummary({ trial, imaging }: ReportingSummaryProps) {
  const { items, recorded, missing, notApplicable, source } = imaging;
  const counted = recorded + missing + notApplicable;
  const lacking = items.filter(({ state }) => state === "missing");
  return (
    <div className={classes.summary}>
      <p>
        <strong>
          {recorded} of {counted}
        </strong>{" "}
        reporting items recorded
        {notApplicable > 0 && `, ${notApplicable} not applicable`}.
        {lacking.length > 0 && ` Missing: ${lacking.map(({ name }) => name.toLowerCase()).join(", ")}.`}
      </p>
      <Disclosure summary="All reporting items, and where they are entered">
        <ul className={classes.items}>
          {items.map((item) => (
            <li key={item.key}>
              <Sign item={item} />
              <div>
                {item.number === null ? "" : `${item.number}. `}
                {item.name}
                <Detail item={item} trial={trial} />
              </div>
            </li>
          ))}
        </ul>
        <p className={`${classes.help} ${classes.source}`}>
          Numbered items: {source} Items without a number are common practice and do not count.
        </p>
      </Disclosure>
    </div>
  );
}

function Sign({ item }: { readonly item: ReportingItem }) {
  switch (item.state) {
    case "recorded":
      return <StateBadge shape="tick">recorded</StateBadge>;
    case "missing":
      return <StateBadge shape="open">missing</StateBadge>;
    case "not applicable":
      return <StateBadge shape="bar">not applicable</StateBadge>;
  }
}

function Detail({ item, trial }: { readonly item: ReportingItem; readonly trial: Trial }) {
  const { studyId } = useStudy();
  if (item.reason !== null) return <span className={classes.quiet}>: {item.reason}</span>;
  if (item.lacks.length === 0) return null;
  const where = {
    protocol: `/studies/${studyId}/protocol`,
    volunteer: `/studies/${studyId}/volunteers/${trial.volunteerId}`,
    trial: null,
    room: null,
  } as const;
  return (
    <span className={classes.quiet}>
      {": "}
      {item.lacks.map(({ what, place }, index) => {
        const href = where[place];
        return (
          <span key={what}>
            {index > 0 && "; "}
            {what} ({href === null ? placeNames[place] : <TextLink href={href}>{placeNames[place]}</TextLink>}
            )
          </span>
        );
      })}
    </span>
  );
}
